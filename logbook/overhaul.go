package logbook

import (
	"reflect"
	"slices"
	"strings"
)

// Overhaul is one valve's visit to the workshop, from removal to fitting: one Markdown file. The struct tags are the
// schema: the reader, the help and the reference follow from them. Keys stand in the order of the work.
type Overhaul struct {
	File
	Stem string // file name without .md: the identity of the record, unique in the book

	Holder        Serial        `key:"holder" doc:"serial of the holder (body, spring, spindle)"`
	Nozzle        NozzleSerials `key:"nozzle" doc:"serial of the nozzle as found and as left, and the marking of the one left"`
	Round         Text          `key:"round" doc:"name of the round, where the dates alone do not tell it"`
	Job           Job           `key:"job" short:"number" doc:"job of the ship's maintenance system under which the round was done"`
	Trial         Serial        `key:"trial" doc:"trial under which this valve ran longer or otherwise than the limits say"`
	Deferral      Serial        `key:"deferral" doc:"deferral under which a limit is knowingly exceeded"`
	Removed       Removed       `key:"removed" doc:"where the valve came from; missing for a build from new parts"`
	Received      Received      `key:"received" doc:"came on board built and tested by somebody else: as left is theirs"`
	AsFound       Test          `key:"as_found" doc:"test before dismantling and before cleaning"`
	Stripped      Stripped      `key:"stripped" doc:"how it came apart"`
	Cleaned       Cleaned       `key:"cleaned" doc:"how it was cleaned"`
	Inspected     Inspected     `key:"inspected" doc:"places looked at, each with what was seen"`
	Measured      Measured      `key:"measured" doc:"what was measured, each with its instrument"`
	Decided       Decided       `key:"decided" doc:"what happens to nozzle, holder and spring, and why"`
	Assembled     Assembled     `key:"assembled" doc:"parts, seals and torques of the build"`
	Tries         []Try         `key:"tries" doc:"each set and test that did not pass, and what was done about it"`
	AsLeft        Test          `key:"as_left" doc:"test after setting"`
	Stored        Stored        `key:"stored" doc:"ready spare"`
	Landed        SentAshore    `key:"landed" doc:"sent ashore, to come back or to be exchanged: no spare until then"`
	Fitted        Fitted        `key:"fitted" doc:"where the valve went, and how it was fitted"`
	RunningAfter  RunningData   `key:"running_after" doc:"running data of the cylinder after fitting, at like load"`
	By            Serial        `key:"by" doc:"who did the bench work: an id of crew.csv" as:"person"`
	FittedBy      Serial        `key:"fitted_by" doc:"who fitted the valve, where it was another person" as:"person"`
	CheckedBy     Serial        `key:"checked_by" doc:"second engineer who decided and released the valve to the rack" as:"person"`
	Minutes       Number        `key:"minutes" doc:"working time on the bench, in minutes"`
	Logs          []BenchLog    `key:"logs" same:"test,log" doc:"pressure logs of its tests, under logs/"`
	Papers        []SprayPaper  `key:"papers" same:"test,photo" doc:"spray papers of its tests, and what was read from them"`
	Photos        Texts         `key:"photos" doc:"pictures under photos/ that belong to the record"`
	Reconstructed Reconstructed `key:"reconstructed" doc:"the record was written later from notes or memory"`
	Corrections   []Correction  `key:"corrections" same:"date,what" doc:"figures struck through: what stood there, who corrected it and why"`

	Remarks string // the Markdown below the front matter
}

// NozzleSerials are the nozzle that came out with the holder and the one that went back with it.
type NozzleSerials struct {
	Block
	Found        Serial `key:"found" doc:"serial of the nozzle as found"`
	Left         Serial `key:"left" doc:"serial of the nozzle as left; missing when none was built in"`
	Marking      Text   `key:"marking" doc:"marking of the nozzle as left, as stamped"`
	MarkingFound Text   `key:"marking_found" doc:"marking of the nozzle as found, where it differs"`
	Confidence   Word   `key:"confidence" words:"read|partly|assigned aboard" doc:"how well the serials could be read"`
}

// Job is a round's job in the ship's maintenance system. One record of the round that names it is enough.
type Job struct {
	Block
	Number Text `key:"number" doc:"number of the job"`
	Permit Text `key:"permit" doc:"number of the permit to work"`
	Risk   Text `key:"risk_assessment" doc:"number of the risk assessment"`
}

// Removed is the pull of a valve.
type Removed struct {
	Block
	Engine   Serial `key:"engine" doc:"engine as named in book.md" as:"engine"`
	Cylinder Serial `key:"cylinder" doc:"cylinder as named in book.md" as:"cylinder"`
	Date     Date   `key:"date" doc:"ship's local day of the removal"`
	Counter  Amount `key:"counter" unit:"h" doc:"reading of the engine's hour counter"`
	Reason   Word   `key:"reason" words:"planned|symptom|trial|other work|survey" doc:"why it was pulled"`
	RingsOut Number `key:"rings_out" count:"yes" doc:"sealing rings that came out of the pocket"`
	Pocket   Text   `key:"pocket" doc:"condition of the pocket and its seat"`
	Hours    Amount `key:"hours" unit:"h" doc:"service hours as written by the engineer; the book works them out itself"`
}

// Test is the test on the hand pump, as found or as left.
type Test struct {
	Block
	Date          Date        `key:"date" doc:"day of the test"`
	Bench         Serial      `key:"bench" doc:"test bench, an instrument of the book" as:"instrument"`
	Gauge         Serial      `key:"gauge" doc:"pressure gauge, an instrument of the book" as:"instrument"`
	Oil           Amount      `key:"oil" unit:"°C" doc:"temperature of the test oil"`
	Connection    Word        `key:"connection" words:"clean|dirty|leaking" doc:"state of the test connection"`
	FirstOpening  Amount      `key:"first_opening" unit:"bar" doc:"pressure at the first opening, where it was noted apart"`
	Opening       Amounts     `key:"opening_pressure" unit:"bar" doc:"opening pressure, three readings; the middle one counts"`
	Closing       Amount      `key:"closing_pressure" unit:"bar" doc:"closing pressure"`
	Seat          Seat        `key:"seat" doc:"seat held below opening pressure"`
	LeakDown      LeakDown    `key:"leak_down" doc:"time for the test pressure to fall between two stated pressures"`
	Cooling       Cooling     `key:"cooling" doc:"cooling space of a cooled nozzle, held under pressure"`
	Spray         Spray       `key:"spray" doc:"spray pattern"`
	Chatter       Word        `key:"chatter" words:"crisp|soft|none" doc:"sound when pumped slowly; a soft sign only"`
	Leaks         LeakSites   `key:"leaks" doc:"leaks outside at test pressure"`
	RunningBefore RunningData `key:"running_before" doc:"running data of the cylinder before the valve was pulled"`
	LockNut       Word        `key:"lock_nut" words:"tight|re-checked|loose" doc:"lock nut after setting"`
	EndCap        Tightened   `key:"end_cap" doc:"end cap"`
}

// BenchLog is a pressure log of a test. The values booked are the engineer's all the same.
type BenchLog struct {
	Block
	Test Word   `key:"test" words:"as found|as left" doc:"which test it is of"`
	Log  Text   `key:"log" doc:"the log, under logs/"`
	With Serial `key:"with" doc:"pressure sensor, an instrument of the book" as:"instrument"`
}

// SprayPaper is the picture of a spray paper, and what the program read from it when it was entered.
type SprayPaper struct {
	Block
	Test      Word    `key:"test" words:"as found|as left" doc:"which test it is of"`
	Photo     Text    `key:"photo" doc:"its picture, under photos/"`
	Open      Number  `key:"open" count:"yes" doc:"holes seen open"`
	Missing   Numbers `key:"missing" count:"yes" doc:"holes without a mark, by clock number"`
	Weak      Numbers `key:"weak" count:"yes" doc:"weak holes, by clock number"`
	Bent      Numbers `key:"bent" count:"yes" doc:"holes whose spray is turned aside, by clock number"`
	NotJudged Numbers `key:"not_judged" count:"yes" doc:"holes that could not be judged, by clock number"`
	Form      Word    `key:"pattern" words:"even|uneven|jet|skewed" doc:"form of the whole spray"`
}

// LogTest is the test that a log is of; nil where the record does not say it.
func (o *Overhaul) LogTest(of Word) *Test {
	switch {
	case of.Is("as found"):
		return &o.AsFound
	case of.Is("as left"):
		return &o.AsLeft
	}
	return nil
}

// Seat is the seat test.
type Seat struct {
	Block
	At    Amount `key:"at" unit:"bar" doc:"pressure held"`
	For   Amount `key:"for" unit:"s" doc:"how long it was watched"`
	State Word   `key:"state" words:"dry|damp|drop|runs" doc:"what the tip showed; damp is not leakage, a drop is"`
	Drops Number `key:"drops" count:"yes" doc:"drops counted"`
}

// LeakDown is the leak-down test.
type LeakDown struct {
	Block
	From Amount `key:"from" unit:"bar" doc:"pressure at the start of the watch"`
	To   Amount `key:"to" unit:"bar" doc:"pressure at the end of the watch"`
	Time Amount `key:"time" unit:"s" cut:"yes" doc:"time for the fall, in seconds; more than 60 s where the watch was stopped before"`
	// what it was read with
	Gauge       Serial `key:"gauge" doc:"gauge of the fall, where it is not that of the opening pressure" as:"instrument"`
	Watch       Serial `key:"watch" doc:"watch, an instrument of the book" as:"instrument"`
	Thermometer Serial `key:"thermometer" doc:"thermometer of the oil, an instrument of the book" as:"instrument"`
}

// Cooling is the test of the cooling space of a cooled nozzle. A leak lets water into the fuel, or fuel into the water.
type Cooling struct {
	Block
	At    Amount `key:"at" unit:"bar" doc:"pressure held"`
	For   Amount `key:"for" unit:"min" doc:"how long it was watched"`
	State Word   `key:"state" words:"tight|leaks" doc:"what it showed"`
}

// Spray is what the spray showed.
type Spray struct {
	Block
	Open Number  `key:"open" count:"yes" doc:"holes open"`
	Weak Numbers `key:"weak" count:"yes" doc:"weak holes, by clock number"`
	Form Word    `key:"pattern" words:"even|uneven|jet|skewed" doc:"form of the whole spray"`
}

// LeakSites are the joints watched at test pressure.
type LeakSites struct {
	Block
	NozzleJoint Word `key:"nozzle_joint" words:"dry|weeping|runs" doc:"joint between nozzle and holder"`
	Inlet       Word `key:"inlet" words:"dry|weeping|runs" doc:"fuel inlet"`
}

// RunningData are the running data of a cylinder at one load.
type RunningData struct {
	Block
	Date    Date   `key:"date" doc:"day of the reading"`
	Load    Amount `key:"load" unit:"%" doc:"engine load"`
	Fuel    Text   `key:"fuel" doc:"fuel in use"`
	Exhaust Amount `key:"exhaust_deviation" unit:"K" doc:"exhaust temperature against the cylinder's own reference at that load"`
	Pmax    Amount `key:"pmax_deviation" unit:"bar" doc:"pmax against the reference"`
	Pcomp   Amount `key:"pcomp_deviation" unit:"bar" doc:"compression pressure, with the fuel of the cylinder shut off, against the reference"`
	Note    Text   `key:"note" doc:"smoke, knock, leak-off and the like"`
}

// Stripped is how the valve came apart.
type Stripped struct {
	Block
	SpringReleased Word  `key:"spring_released" words:"first|after the nut|no load on it" doc:"spring tension released before the nut was slackened"`
	Needle         Word  `key:"needle" words:"free|stiff|stuck" doc:"needle in its body"`
	NeedleFreed    Freed `key:"needle_freed" doc:"how a stiff or stuck needle was freed"`
	NeedleFall     Word  `key:"needle_fall" words:"free|slow|sticks" doc:"how the wetted needle falls in its body afterwards"`
	NozzleInNut    Word  `key:"nozzle_in_nut" words:"free|stuck" doc:"nozzle in its nut"`
	NozzleFreed    Freed `key:"nozzle_freed" doc:"how a stuck nozzle was freed"`
	Dowels         Word  `key:"dowels" words:"good|worn|broken|missing" doc:"dowels as found"`
	Finds          Text  `key:"finds" doc:"anything found inside"`
}

// Freed is how a stuck part was freed.
type Freed struct {
	Block
	How   Word   `key:"how" words:"by hand|oil bath|puller|press|tube on the shoulder|blows" doc:"means used"`
	Bath  Amount `key:"bath" unit:"°C" doc:"temperature of the oil bath"`
	Time  Amount `key:"time" unit:"min" doc:"time in the bath"`
	Force Word   `key:"force" words:"yes|no" doc:"force was used"`
}

// Cleaned is how the valve was cleaned.
type Cleaned struct {
	Block
	Agent         Text   `key:"agent" doc:"carbon remover or solvent"`
	Brush         Word   `key:"brush" words:"brass|none|steel" doc:"brush used outside; a steel brush harms the tip"`
	HoleNeedles   Amount `key:"hole_needles" unit:"mm" doc:"size of the needles used in the holes"`
	ChannelsBlown Word   `key:"channels_blown" words:"yes|no" doc:"drillings rinsed and blown through"`
	Nut           Word   `key:"nut" words:"clean|carbon left" doc:"inside of the nozzle nut"`
	NeedleWetted  Word   `key:"needle_wetted" words:"yes|no" doc:"needle wetted with clean oil before it went in"`
}

// Inspected is the closed list of places looked at.
type Inspected struct {
	Block
	NeedleSeat  Word `key:"needle_seat" part:"nozzle" words:"good|marked|damaged|cracked" doc:"seat cone of the needle"`
	NeedleEnd   Word `key:"needle_end" part:"nozzle" words:"good|marked|damaged|cracked" doc:"end of the needle at the push rod"`
	NeedleGuide Word `key:"needle_guide" part:"nozzle" words:"good|marked|damaged|cracked" doc:"guide of the needle"`
	BodySeat    Word `key:"body_seat" part:"nozzle" words:"good|marked|damaged|cracked" doc:"seat in the nozzle body"`
	Tip         Word `key:"tip" part:"nozzle" words:"good|marked|damaged|cracked" doc:"nozzle tip"`
	Holes       Word `key:"holes" part:"nozzle" words:"good|marked|damaged|cracked" doc:"spray holes, entry and exit"`
	NozzleFace  Word `key:"nozzle_face" part:"nozzle" words:"good|marked|damaged|cracked" doc:"joint face of the nozzle"`
	HolderFace  Word `key:"holder_face" part:"holder" words:"good|marked|damaged|cracked" doc:"joint face of the holder"`
	Dowels      Word `key:"dowels" part:"dowel" words:"good|marked|damaged|cracked" doc:"dowels"`
	Spring      Word `key:"spring" part:"spring" words:"good|marked|damaged|cracked" doc:"spring and its ends"`
	PushRod     Word `key:"push_rod" part:"push rod" words:"good|marked|damaged|cracked" doc:"push rod or spindle"`
	NutInside   Word `key:"nut_inside" part:"nut" said:"inside of the nut" words:"good|marked|damaged|cracked" doc:"inside of the nozzle nut"`
	InletFace   Word `key:"inlet_face" part:"holder" words:"good|marked|damaged|cracked" doc:"face of the fuel inlet"`
	Drillings   Word `key:"drillings" part:"holder" words:"good|marked|damaged|cracked" doc:"fuel drillings"`
	Note        Text `key:"note" doc:"what was seen, in words"`
}

// PlaceSeen is one place of the inspection list with its word.
type PlaceSeen struct {
	Name string
	Part string // the part that it belongs to: nozzle, holder, spring, or a small part as the list of new parts calls it
	Word *Word  // the record's own
}

// Places lists the inspection list in its order, looked at or not. The struct tags above are the list.
func (i *Inspected) Places() []PlaceSeen {
	v := reflect.ValueOf(i).Elem()
	fields := fieldsOf(v.Type())
	all := make([]PlaceSeen, 0, len(fields))
	for _, f := range fields {
		if f.part != "" {
			all = append(all, PlaceSeen{f.said, f.part, v.Field(f.index).Addr().Interface().(*Word)})
		}
	}
	return all
}

// PlacesOf are the places of one part.
func (i *Inspected) PlacesOf(part string) []PlaceSeen {
	return slices.DeleteFunc(i.Places(), func(p PlaceSeen) bool { return p.Part != part })
}

// Measurement is a measured value with the instrument it was taken with. A plain value may stand in place of the block.
type Measurement struct {
	Block
	Value     Amount  `key:"value" unit:"mm" doc:"the value"`
	With      Serial  `key:"with" doc:"instrument, by its id" as:"instrument"`
	Again     Amounts `key:"again" unit:"mm" doc:"measured again at three places with a second instrument, where a safety limit is in doubt"`
	AgainWith Serial  `key:"again_with" doc:"that instrument, by its id" as:"instrument"`
}

// ShareMeasured is a measured share.
type ShareMeasured struct {
	Block
	Value Amount `key:"value" unit:"%" doc:"the value"`
	With  Serial `key:"with" doc:"how it was taken" as:"instrument"`
}

// Measured is what was measured on the stripped valve.
type Measured struct {
	Block
	Lift         Measurement   `key:"lift" short:"value" doc:"needle lift of the nozzle"`
	HolderWear   Measurement   `key:"holder_wear" short:"value" doc:"wear of the holder's face; it adds to the lift"`
	Effective    Measurement   `key:"effective_lift" short:"value" doc:"lift and holder wear together, where the engineer wrote the sum"`
	SeatDiameter Measurement   `key:"seat_diameter" short:"value" doc:"uppermost contact of the seat on the needle"`
	SeatBand     Measurement   `key:"seat_band" short:"value" doc:"width of the seat band"`
	NoGo         NoGo          `key:"no_go" doc:"no-go wire in the spray holes"`
	SpringLength Measurement   `key:"spring_length" short:"value" doc:"free length of the spring"`
	FaceContact  ShareMeasured `key:"face_contact" short:"value" doc:"contact of the joint faces when blued"`
}

// NoGo is the wire test of the spray holes.
type NoGo struct {
	Block
	Wire   Amount `key:"wire" unit:"mm" doc:"diameter of the no-go wire"`
	Result Word   `key:"result" words:"stops|enters" doc:"what the wire did; one that enters means worn holes"`
}

// Decided is the second engineer's decision.
type Decided struct {
	Block
	Nozzle     Word `key:"nozzle" words:"reuse|clean|lap|grind|renew|condemn" doc:"the nozzle"`
	Holder     Word `key:"holder" words:"reuse|clean|lap|grind|renew|condemn" doc:"the holder"`
	Spring     Word `key:"spring" words:"reuse|renew" doc:"the spring"`
	Why        Text `key:"why" doc:"the reason"`
	Considered Text `key:"considered" doc:"what else was considered"`
	Keep       Text `key:"keep" doc:"parts kept for a claim, and where"`
}

// Assembled is the build.
type Assembled struct {
	Block
	Parts      []PartUsed `key:"parts" same:"part,serial" doc:"parts built in, by serial and part number"`
	NozzleNut  Tightened  `key:"nozzle_nut" doc:"nozzle nut"`
	Seals      Seals      `key:"seals" doc:"seals by place"`
	Dowels     Word       `key:"dowels" words:"seated|loose" doc:"dowels in their holes"`
	Faces      Word       `key:"faces" words:"clean|wiped|dirty" doc:"joint faces before assembly"`
	Lubricants Text       `key:"lubricants" doc:"what was used where"`
}

// PartUsed is one part built in.
type PartUsed struct {
	Block
	Part   Text   `key:"part" doc:"what it is"`
	Serial Serial `key:"serial" doc:"its serial"`
	PartNo Text   `key:"part_no" doc:"its part number"`
	Count  Number `key:"count" count:"yes" doc:"how many"`
}

// Seals are the seals by place. Seals are always new: a reused one is a finding.
type Seals struct {
	Block
	AdjustingScrew Word   `key:"adjusting_screw" words:"renewed|reused" doc:"seal of the adjusting screw"`
	Body           Word   `key:"body" words:"renewed|reused" doc:"seals of the body"`
	Pocket         Word   `key:"pocket" words:"renewed|reused" doc:"sealing ring in the pocket"`
	PartNo         Text   `key:"part_no" doc:"part number of the set"`
	UseBefore      Date   `key:"use_before" doc:"end of the shelf life"`
	Count          Number `key:"count" count:"yes" doc:"how many"`
}

// Tightened is a thread and how it was tightened.
type Tightened struct {
	Block
	Torque    Amount `key:"torque" unit:"N·m" doc:"final torque"`
	Steps     Number `key:"steps" count:"yes" doc:"number of steps"`
	Wrench    Serial `key:"wrench" doc:"torque wrench, an instrument of the book" as:"instrument"`
	Lubricant Text   `key:"lubricant" doc:"lubricant on the thread: torque means nothing without it"`
}

// Told says that something is said of the thread: a value, or the reason why there is none. Its blanks say nothing.
func (t *Tightened) Told() bool {
	return t.Excused() || t.Torque.Present() || t.Steps.Present() || t.Wrench.Present() || t.Lubricant.Present()
}

// Try is a set and test that did not pass.
type Try struct {
	Block
	Date     Date      `key:"date" doc:"day of the try"`
	Opening  Amounts   `key:"opening_pressure" unit:"bar" doc:"opening pressure"`
	Seat     Seat      `key:"seat" doc:"seat test"`
	LeakDown LeakDown  `key:"leak_down" doc:"leak-down test"`
	Spray    Spray     `key:"spray" doc:"spray pattern"`
	Leaks    LeakSites `key:"leaks" doc:"leaks outside"`
	Why      Text      `key:"why" doc:"why it did not pass"`
	Done     Text      `key:"done" doc:"what was done before the next try"`
}

// Stored is a valve ready spare.
type Stored struct {
	Block
	Date   Date `key:"date" doc:"day it went in the spares rack"`
	Spot   Text `key:"place" doc:"place in the spares rack"`
	Capped Word `key:"capped" words:"yes|no" doc:"openings capped"`
	Tag    Text `key:"tag" doc:"what the tag says"`
}

// Fitted is the fitting of the valve in a cylinder.
type Fitted struct {
	Block
	Engine      Serial    `key:"engine" doc:"engine as named in book.md" as:"engine"`
	Cylinder    Serial    `key:"cylinder" doc:"cylinder as named in book.md" as:"cylinder"`
	Date        Date      `key:"date" doc:"ship's local day of the fitting"`
	Counter     Amount    `key:"counter" unit:"h" doc:"reading of the engine's hour counter"`
	Holder      Serial    `key:"holder" doc:"holder as read at the engine, where it was read again"`
	Nozzle      Serial    `key:"nozzle" doc:"nozzle as read at the engine, where it was read again"`
	PocketFaced Word      `key:"pocket_faced" words:"yes|no" doc:"seat of the pocket faced"`
	RingsIn     Number    `key:"rings_in" count:"yes" doc:"new sealing rings put in the pocket: one"`
	Protrusion  Amount    `key:"protrusion" unit:"mm" doc:"how far the nozzle stands out of the head"`
	ClampNuts   Tightened `key:"clamp_nuts" doc:"clamp nuts"`
	PipeNut     Tightened `key:"pipe_nut" doc:"nut of the high-pressure pipe"`
	LeakCheck   Text      `key:"leak_check" doc:"the states in which leaks were looked for: cold warm loaded"`
	Shields     Word      `key:"shields" words:"refitted|missing" doc:"shields, jackets and lagging back in place"`
}

// Reconstructed marks a record written later.
type Reconstructed struct {
	Block
	Date Date   `key:"date" doc:"day it was written"`
	By   Serial `key:"by" doc:"who wrote it" as:"person"`
	From Text   `key:"from" doc:"from what: notes, memory, photos"`
}

// Correction is a figure struck through.
type Correction struct {
	Block
	Date Date   `key:"date" doc:"day of the correction"`
	By   Serial `key:"by" doc:"who corrected it" as:"person"`
	What Text   `key:"what" doc:"the key corrected, with those above it"`
	Was  Text   `key:"was" doc:"what stood there"`
	Why  Text   `key:"why" doc:"why it was wrong"`
}

// Strikes says that a record strikes a value through itself, or the block that it stands in, under corrections.
func (o *Overhaul) Strikes(path string) bool {
	return slices.ContainsFunc(o.Corrections, func(x Correction) bool {
		what := x.What.Written
		return what != "" && (what == path || strings.HasPrefix(path, what+".") || strings.HasPrefix(path, what+"["))
	})
}
