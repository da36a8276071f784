// Package store keeps many services in one folder, each in a journal of its
// own.
//
// # Layout
//
//	live/<id>.jsonl      services that are under way
//	closed/<id>.jsonl    services that were closed
//	.lock                held, for a moment, by whoever moves files about
//
// An id tells the time of opening and holds four random characters, as in
// 20260302-0900-k7q2 ([NewID]); no file's name tells a client's. The folders
// have mode 0700 and the files 0600; [Open] takes away what is wider.
//
// Beside a log may stand its lock and torn tails that were set aside; see
// package journal. They are left out of account.
//
// # One who writes, any number who read
//
// Whoever runs a service holds its journal's lock, from [Store.Create],
// [Store.Resume] or [Store.Reopen] to [Live.Close]. Others get a
// [journal.Busy], and may watch by [Store.Read], which needs no lock. Several
// processes may have the same folder open; they take turns by .lock where a
// file is made, moved or opened for writing.
//
// # Closing
//
// A service is closed by its events, and by nothing else. That its file then
// moves to closed is tidiness: if the process is killed before it does, the
// service is listed as closed all the same, and the next Open moves the file.
package store
