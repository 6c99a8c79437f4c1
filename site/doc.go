// Package site makes the pages of a book: static, self-contained, readable from a folder without network or scripts.
// It has three floors, and the compiler holds that none looks up: what is known (package facts), what a page says
// (package content fills the values of package page, with the names that package address gives), and how it looks
// (package look). This package puts them together and keeps the folder.
//
// Begin with [Build].
//
// The site makes no verdict and contains no limit. Reading and building write nothing into a book and run no program
// it names. Same input, same bytes: no map order, no clock, no absolute path; tests build twice and compare. No page
// of the example vessel is larger than 60 × 1024 bytes without pictures, and one of a large book hardly so: long
// histories, lists, papers and charts go on over further pages, and what one day brought is counted where it is much. A
// record is a report of 36 kB, and what is behind its figures is on a page of its own.
//
// Measured on 2026-11-25, two shared cores and other work on the machine: the pages of 1,000 records (1,626 files)
// took 11 times as long as writing the same files (go test -run '^$' -bench . ./site).
package site
