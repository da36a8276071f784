// Package store keeps many services in one folder, each in a journal of its
// own.
//
// # Layout
//
//	live/<id>.jsonl      services that are under way
//	closed/<id>.jsonl    services that were closed
//	summary/index        what a listing says of each closed service
//	summary/pace-<hash>  a stylist's last services and usual times
//	marks/<id>.marks.jsonl  marks that a replay set
//	times/<id>.times     how long things took, of a service that was forgotten
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
// [journal.Busy], and may look by [Store.Read], which needs no lock, or follow
// all live services as they are written by [Store.Watch]. Several processes may
// have the same folder open; they take turns by .lock where a file is made,
// moved or opened for writing.
//
// # Closing
//
// A service is closed by its events, and by nothing else. That its file then
// moves to closed is tidiness: if the process is killed before it does, the
// service is listed as closed all the same, and the next Open moves the file.
//
// # Forgetting
//
// [Store.Forget] removes services for good. What they told of their stylist's
// times stays in times, without the client. The logs go last: if the process is
// killed before, the services are there as before, and can be forgotten again.
//
// # The summary
//
// The logs are the truth; the summary repeats what they say, so that a folder
// of 40,000 closed services opens at once. It can be deleted at any time, whole
// or in part, and comes back by itself. Its formats are those of package
// history.
//
// Whoever puts a service away, brings one in or takes one out again adds a line
// to the index. Whoever reads the index compares it with the closed folder: the
// names always; the sizes of all logs, if the folder was changed since the index
// was last found complete (its time of change is kept, as a mark) or others
// could look into it; else the sizes of the 2,000 newest. What is missing or
// other than it says is read and put right, what is gone is taken out. So a
// closed log that is overwritten in place, which rinseby never does, is noticed
// by its size if it is one of the 2,000 newest; one that is written anew beside
// it and renamed, or put there by copying a folder, is always noticed. A listing
// does not check the checksums of logs that it need not read: rinseby verify
// does.
//
// Permissions are looked at in the same way: each file's, unless there are
// thousands and the folder, which keeps others out by itself, is as it was.
//
// The summary is written under .lock, a whole file beside its place and then
// renamed, the index also by adding lines. Readers need no lock: a line that is
// half written fails its checksum and counts as missing. In a folder that may
// only be read, nothing is written and all else is the same.
package store
