package logbook

// SentAshore is a valve that was landed to be overhauled or exchanged.
type SentAshore struct {
	Block
	Date     Date `key:"date" doc:"day it left the ship"`
	To       Text `key:"to" doc:"workshop, or who took it"`
	Note     Text `key:"delivery_note" doc:"number of the delivery note"`
	Promised Date `key:"promised" doc:"day by which it, or another in its place, is promised back"`
	Receipt  Text `key:"receipt" doc:"number or date of the receipt of who took it"`
}

// Away is a valve that was landed.
type Away struct {
	*Overhaul           // the record that says so
	Since     Day       // the day it was landed
	Back      *Overhaul // the record by which it, or another in its place, came on board again; nil while it is away
	Unsaid    bool      // that record says nothing of its receipt
	Gone      End       // the end of its holder since, with its Word; none where it may come back
}

// Waits says that the valve is still ashore and may come back.
func (a Away) Waits() bool { return a.Back == nil && a.Gone.Word == "" }

// Landed lists the valves that were landed by the end of a day, in the order of the records, with what became of each
// by then.
func (b *Book) Landed(day Day) []Away {
	var all []Away
	before := map[string]Day{} // by holder: when it was landed the time before
	for i, o := range b.Overhauls {
		since := o.Landed.Date.Day
		if since == 0 {
			since = o.Day()
		}
		if !o.Landed.Stated() || since > day {
			continue
		}
		holder := o.Holder.Written
		a := Away{Overhaul: o, Since: since}
		if e, gone := b.EndBy("holder", holder, day); gone {
			a.Gone = e
		} else if p := b.Part("holder", holder); p != nil && p.Landed.Stated() && p.Landed.Date.Day <= day {
			a.Gone = End{"landed for good", p.Landed.Date.Day, p.Landed.Place, nil}
		}
		for j, x := range b.Overhauls {
			r := &x.Received
			own := j > i && x.Holder.Written == holder && x.Day() >= since
			inPlace := r.Stated() && r.InPlaceOf.Stated() && r.InPlaceOf.Written == holder && x.Day() > before[holder]
			if (own || inPlace) && x.Day() <= day { // one in its place often comes before it goes
				a.Back, a.Unsaid = x, !r.Stated()
				break
			}
		}
		before[holder] = since
		all = append(all, a)
	}
	return all
}

// NozzleOut is the nozzle that is in a valve when its record ends: the one left, or where none was built in the one
// found.
func (o *Overhaul) NozzleOut() string {
	if o.Nozzle.Left.Stated() {
		return o.Nozzle.Left.Written
	}
	return o.Nozzle.Found.Written
}
