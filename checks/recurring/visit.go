package recurring

import "needlebook/logbook"

// Kind is what an explanation accuses.
type Kind uint8

// The kinds of explanation, in the order in which one that explains as much is preferred.
const (
	ByRound    Kind = iota // all valves of one round: fuel, or whatever else they shared
	ByFuel                 // all valves that ran on one bunker
	ByPosition             // engine and cylinder
	ByHead                 // a cylinder head, wherever it was
	ByHolder
	ByBatch // nozzles of one delivery
	ByGauge
	kinds
)

// String is the kind in words.
func (k Kind) String() string {
	return [...]string{"round", "bunker", "position", "cylinder head", "holder", "nozzle batch", "gauge"}[k]
}

// Visit is one valve on the bench as the explanations see it. Names that are empty are not known.
type Visit struct {
	Overhaul *logbook.Overhaul
	TestedIn int // number of its round in time, from 0
	Round    string
	Fuels    []string // bunkers that it ran on for a tenth of its days or more
	Position string
	Head     string
	Holder   string
	Batch    string

	Looked bool    // it was tested as found, and nothing on record explains it
	Failed bool    // it failed, or was pulled or rejected before its time
	Pulled bool    // it was pulled for its signs: how long it ran was not chosen
	Leaks  bool    // Leak is known
	Leak   float64 // logarithm of its leak-down over the ship's normal at that age

	Compares bool    // Bar is known
	Excused  bool    // a gauge of it is on record as wrong: no part of the ship's normal
	Bar      float64 // opening pressure as found less as left
	Class    int     // setting class
	Hours    float64 // ran in its service period; 0 where not known
	Tested   string  // gauge it was tested with as found
	Set      string  // gauge it was set with before
	SetIn    int     // index of the visit in which it was set; -1 where that is not among them
	Step     float64 // in which the ship's gauges are read, bar; 0 where not known
	ErrorOf  float64 // most permissible error of the gauge it was tested with, bar; 0 where not known
	ErrorSet float64 // the same of the gauge it was set with
}

func (v *Visit) nameOf(k Kind) string {
	switch k {
	case ByRound:
		return v.Round
	case ByPosition:
		return v.Position
	case ByHead:
		return v.Head
	case ByHolder:
		return v.Holder
	case ByBatch:
		return v.Batch
	}
	return ""
}
