// Package logbook is the book: the records of one vessel as an engineer writes them, read with the place of every
// value, and the service lives of every part worked out from removals and fittings. The struct types of the records are
// the schema: keys, types, units, allowed words and documentation stand in their tags and nowhere else.
//
// It leaves judging to package checks, git to packages trace and exchange, and HTML to package site. Begin with [Read].
package logbook
