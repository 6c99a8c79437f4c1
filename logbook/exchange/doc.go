// Package exchange writes into a book's repository: signed commits, made durable and read back before
// they are reported, and whole new repositories. It is the only package that writes below .git. What a
// history proves is read by package trace; what a record should say is none of its business.
//
// Begin with Write, which commits a Draft, and Build, which makes a repository from a list of them.
package exchange
