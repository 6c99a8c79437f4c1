// Package evidence works out what the lives of a ship's valves prove: how the measured numbers drift and when they meet
// their limits, how often valves of an age were bad, how long the next may wait, and recurring findings. It knows
// records, lives and verdicts; the arithmetic is that of packages drift and survival.
//
// Begin with [New].
//
// The review of the interval with every part and chart, and the recurring findings, of 10,000 overhauls (go test -run
// '^$' -bench Evidence ./checks/evidence) took 1.3 s of one busy core on 2026-11-25; 1 s is the aim.
package evidence
