// Command needlebook keeps the record of fuel injection valve overhauls in plain files under git: it reads, judges,
// proves and shows them. This package knows flags, streams and exit statuses, and puts the parts together; the work is
// done by the library packages it calls.
//
// Exit statuses: 0 nothing at the threshold, 1 findings, 2 wrong use, 3 could not do its work; what judges a history
// (verify, sync, mailbag open, receipt) adds 4 another book or rewritten, 5 broken bytes. The output formats for
// other programs are in the manual, site/manual/formats.md; a test holds their keys.
//
// # Strangers
//
// What a person reads goes through terminal, what a program reads through program.data. Records and names are a
// stranger's: one escape sequence in a remark could paint over the line that says it was changed.
//
// The verbs view and demo --serve answer to the loopback only, and only to a loopback name in the request, so that a
// page elsewhere cannot read the book through a name that points here.
//
// Verbs that go on for hours sweep their memory as usual; the others may take five times what is alive, but grow by no
// more than 96 MiB, or by what is alive, between two sweeps.
//
// # Measured
//
// A saved file was answered by check --watch on the example vessel within 0.24 to 0.33 s at a load of 15 on two cores
// (2026-11-25, TestWatchAnswers -v); 0.25 s is the aim.
//
// The script .ci/long sends hostile input to five programs for twelve minutes each (TestHostile…): damaged, forged and
// crafted bags, tables and maps, requests while files of the book turn into pipes, links, folders and 64 GiB of
// nothing, and an editor's messages. NEEDLEBOOK_HOSTILE is the time of each, NEEDLEBOOK_SEED and NEEDLEBOOK_INPUT bring
// one input back. On 2026-11-29 (one niced processor of a busy machine): 8,960 inputs of mailbag open (slowest 0.9 s,
// memory grew by 210 MiB at most), 20,005 of import (1.0 s, 67 MiB), 16,957 of the editor's server (1.4 s, 132 MiB): no
// hang, no fall, nothing beyond 256 MiB. On 2026-11-30, at a load of 28 on two cores, 5,734 of view: no hang, slowest
// 10.2 s, memory grew by 96 MiB at most. Runs before it hung on a .git that led to a file of the system, and grew by
// 266 MiB over a text of megabytes in the place of a record; both are mended. On the same day 814 inputs of mailbag
// open (slowest 3.5 s, 130 MiB), and 3,370 of the editor's server (8.6 s, 36 MiB); import's inputs of a quarter of an
// hour passed. Files as large as they may be, of one line over and over, took check up to 1 GB and five minutes: a
// table's rows are bounded by the memory that they take, a line by its length, and a check by what it finds in one
// table; the worst of such files now take up to 205 MiB and 5.7 s (TestHostileRepetitions).
package main
