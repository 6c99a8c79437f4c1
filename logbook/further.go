package logbook

import "strings"

// Several valves in one cylinder are several lines of engines in book.md: the main valves are those of ME1, the pilot
// valves those of ME1P, whose line says valves_of: ME1. So every valve has its own position (ME1-3, ME1P-3), limits,
// interval and rounds, and nothing is compared across types; hour counter, stops and cylinder heads are the engine's.

// HostOf is the engine in whose cylinders the valves of a line of engines are: itself, where it is no line of further
// valves.
func (b *Book) HostOf(engine string) string {
	e := b.Engine(engine)
	if e == nil || !e.ValvesOf.Stated() {
		return engine
	}
	if host := b.Engine(e.ValvesOf.Written); host != nil && !host.ValvesOf.Stated() {
		return host.ID.Written
	}
	return engine
}

// bore tells the bores of one head apart, the same on every engine: P of ME1P and of ME2P.
func (b *Book) bore(engine string) string {
	host := b.HostOf(engine)
	if host == engine {
		return ""
	}
	return strings.TrimPrefix(engine, host)
}

// shareCylinders gives a line of further valves the cylinders of its engine, where it names none.
func (b *Book) shareCylinders() {
	shared := append([]Engine(nil), b.Vessel.Engines...)
	for i := range shared {
		e := &shared[i]
		if host := b.HostOf(e.ID.Written); host != e.ID.Written && !e.Cylinders.Stated() {
			e.Cylinders = b.Engine(host).Cylinders
		}
	}
	b.Vessel.Engines = shared
}
