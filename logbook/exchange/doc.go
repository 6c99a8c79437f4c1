// Package exchange writes into a book's repository: signed commits, made durable and read back before
// they are reported, and whole new repositories. It and the packages below it are the only ones that write
// below .git. What a history proves is read by package trace; what a record should say is none of its business.
//
// Begin with Write, which commits a Draft, and Build, which makes a repository from a list of them.
//
// # How a commit is written
//
// [Write] writes blob, trees, commit and branch the durable way: lock, write beside, sync, rename, read back. It
// holds the locks of index and branch from before the tip is read until the branch has moved, as git does, so that
// the index is never behind the tip; then commit, texts and files are read back through a fresh storage before
// anything is said. go-git's Pull, Checkout, Reset, Merge, Worktree.Commit and its file log are never called: they
// move branches before they fail, overwrite what is not theirs, and give wrong histories.
//
// A pack is there when its index is there. An intake writes pack and index beside the book, syncs both, and only then
// gives the two names, the index's last; every reader of ours, go-git's storage through its file system too, passes
// over a pack or an index that is alone. A push into a folder (a stick, a share) is such an intake too: go-git's
// server for folders gives the index its name before the pack is there, and keeps a half one. Objects that are not
// found are looked for again when the packs have changed since they were listed, because git packs them anew while we
// read. Of two copies of an object the good one is read, and repair names the damaged one: a verdict on the history
// must not depend on which copy was looked at first.
//
// What a disk does not give is not broken. Only bytes that were read can be damaged (trace.BrokenError), and only
// what is surely not there is missing. Whoever writes reads through the same disk (trace.OpenStoreOn), so that tests
// fail every read as well. Else a read error in repair takes a sound pack away or sets the branch back, and one in a
// bag is told as "builds on commits that are not here".
//
// A copy may be taken out of a book, by sign with a reason: a file is spare where another of its folder and kind came
// no later and holds the same bytes. Nothing of it is lost, so that verify has nothing to say. Any other text stays
// for good.
//
// # Measured
//
// NEEDLEBOOK_LONG=1 go test ./logbook/exchange/... -v puts a fault at every call of every writing operation. On
// 2026-11-29: 26,258 faults (2,652 kills, 3,216 errors, 1,148 full disks, 305 short writes, 18,937 reads): no book
// unreadable, nothing torn, no false success. TestCarryingEndsAndErrors in cmd/needlebook kills sync, mailbag, import
// and pages at their calls, or answers with an error there.
//
// A book on exFAT (through FUSE; it takes Handovers and handovers for one folder, and knows no modes) is a test of the
// wider run, TestBookOnAStick; by hand also commission, enrol, and six kills of sign: as on any disk. FAT32 was tried
// through fusefat, on which git itself makes no repository and a renamed folder comes out empty: commission says that
// it could not read the book back. ext4 and XFS that fold case, and FAT32 of the kernel, were not: the kernel at hand
// mounts none of them. https is a test (TestSyncOverHTTPS).
package exchange
