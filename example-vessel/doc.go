// Package vessel is the example vessel: an invented ship whose book stands in this folder as it is at the end, and the
// list of events, events.txt, from which her history is made again: earlier texts, commits, keys and digests follow
// from it and are the same on every machine.
//
// Begin with [History], or with [Story] for what verify has to say of each commit.
//
// The demo's keys are derived from a fixed text, so that hashes are the same on every machine and no private key is
// in the repository. They prove nothing outside the demo.
package vessel
