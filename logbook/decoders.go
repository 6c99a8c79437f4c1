package logbook

import (
	"runtime"

	"needlebook/logbook/fault"
)

// decoders decode overhauls beside the walk through the book: nearly all of a book is overhauls, and decoding them
// nearly all of the work. The walk alone touches the file system, which may be one commit of an open repository and
// belong to one goroutine.
type decoders struct {
	all  []*decoding // in the order of the walk
	work chan *decoding
	done fault.Group
}

// decoding is one overhaul on its way: its text going in, the record and what was amiss coming out.
type decoding struct {
	name, stem string
	src        []byte
	record     *Overhaul
	problems   []Problem
}

// startDecoders starts one decoder a processor.
func startDecoders() *decoders {
	n := runtime.GOMAXPROCS(0)
	d := &decoders{work: make(chan *decoding, 8*n)}
	for range n {
		d.done.Go(func() {
			for one := range d.work {
				one.record, one.problems = ReadOverhaul(one.name, one.src)
				one.record.Stem = one.stem
			}
		})
	}
	return d
}

// add takes a text to decode, or with its record one that was decoded before.
func (d *decoders) add(name, stem string, k decoded) {
	one := &decoding{name: name, stem: stem, src: k.src, problems: k.problems}
	d.all = append(d.all, one)
	if o, done := k.value.(*Overhaul); done {
		one.record = o
		return
	}
	d.work <- one
}

// wait returns the overhauls in the order they were added, once all are decoded.
func (d *decoders) wait() []*decoding {
	close(d.work)
	d.done.Wait()
	return d.all
}
