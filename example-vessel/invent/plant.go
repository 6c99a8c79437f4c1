package invent

// plantAhead prepares the faults that the life of the ship must show.
func (w *world) plantAhead() {}

// plant makes the faults of writing and deciding, and gives the answer key.
func (w *world) plant() []Planted { return nil }
