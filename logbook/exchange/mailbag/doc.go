// Package mailbag is the form of what travels by mail or on a stick: a bundle cut into numbered parts that are each
// checked alone, and the acknowledgement that goes back. It knows texts and digests, and leaves to package exchange
// what a bundle holds and where parts wait for one another.
//
// Begin with Split and ReadPart, and with Ack.
//
// An acknowledgement names the copy that wrote it, because on a stick that goes to and fro everybody meets their own.
// For the same reason a bag shows that the other side holds its commits only where it brought something new.
package mailbag
