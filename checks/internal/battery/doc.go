// Package battery makes ships whose valves fail and whose gauges err by physics and habit, for tests of what several
// records show together. It knows no check: what is planted is a crack, a pocket, a head, a fuel or a gauge that was
// dropped, one or two at once, and what comes out is what an engineer would read. Ships differ in engines, cylinders,
// spares, years, interval, how valves are fitted again, how often cylinder heads are exchanged and whether the book
// names them, base rate (1 to 8 %), the step in which gauges are read (1, 5 or 10 bar), and what all readings of a
// round have in common. [Ship.Visits] are the ship as the engine takes her, [Ship.Book] as her engineers would have
// written her.
//
// Beside it stands an oracle, which knows the ship's base rate, normal and scatter and the kind and size of the
// fault, and finds by the best likelihood ratio (Neyman & Pearson 1933, Phil. Trans. R. Soc. A 231, 289) what can be
// found at all. It is held to as many false alarms as the engine had on honest ships. Shares carry one-sided 95 %
// bounds of Clopper & Pearson (1934, Biometrika 26, 404).
//
// # Measured
//
// On 2026-11-30, 2,100 honest ships and 400 with each fault, on seeds that nobody had looked at (from 23,000,000 on;
// NEEDLEBOOK_LONG=1 go test ./checks/internal/battery -v): testdata/measured.txt, which the long test holds. Visits are
// those on record; innocent are ships in which another part, place, round or gauge was named too, with its bound; share
// is named over what the oracle names; cannot are ships in which only two are named that the records do not tell apart,
// or two gauges within their classes.
//
// Not reached, and why. A gauge 4 % off, on the day: 13 bar in one round are four times what the round is known to, and
// the engine has to learn scatter and normal of the ship from as few rounds (Student's distribution), which the oracle
// is told. A gauge that errs in the very round that a bad bunker fouled: the fuel moves the same readings the same way
// by an amount that the oracle knows to be 8 bar, and a ship does not; what was set with it tells after the next round.
// A cylinder head that never left its cylinder while it failed: its position is named, and the head said with it; of
// 400 such ships another place was named in 12, at most 4.8 %. In all other rows another was named in at most 2.9 %.
// Two faults at once, and a position that fails less than half of its valves, reach 85 to 89 %: each explanation after
// the first is asked for more, and both are asked at half of the book's chance, which is what keeps others from being
// accused.
package battery
