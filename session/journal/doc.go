// Package journal is the durable, append-only log of one service. It knows
// nothing of what the kinds of records mean.
//
// # Layout
//
// A log is a text file in UTF-8, one JSON object a line, every line ended by
// one newline (0x0A), no empty lines. Keys, their order and all spacing are
// fixed. The first line, here broken up for reading:
//
//	{"format":"rinseby/1",
//	"seq":1,
//	"kind":"service.opened",
//	"when":"2026-03-02T09:00:00.000Z",
//	"recorded":{"wall":"2026-03-02T09:00:00.120Z","boot":5021.337,"boot_id":"4f1c"},
//	"data":{"client":"Tove A."},
//	"crc":"a4da28da"}
//
// The keys are:
//
//   - format, in the first line only: the word rinseby, a slash, and the
//     version of this layout, [Version].
//   - seq counts lines from 1, without holes.
//   - kind is 1 to 64 printable ASCII characters without quote and backslash.
//   - when and recorded.wall are UTC with milliseconds, years 1 to 9999.
//   - recorded.boot is in seconds with three decimals, from 0 up; boot_id is
//     like kind but may be empty.
//   - data is any JSON value without spaces between its tokens.
//   - crc is a CRC-32C (Castagnoli), in eight lower-case hexadecimal digits,
//     over the bytes of the line before ,"crc". It is seeded with the crc of
//     the line before, and in the first line with the CRC-32C of the text
//     "rinseby journal". So if a line is changed, lost, doubled, moved or
//     taken from another log, a check fails, there or in the next line. Only
//     a log that ends too early, but at the end of a line, looks whole.
//
// A reader accepts a line only if it is, byte for byte, what a writer of this
// version makes of the record in it. Hence a log that was accepted encodes to
// the same file again ([Encode]). A line has at most [MaxLine] bytes with its
// newline, a log at most [MaxSize]; that also bounds the number of records.
//
// # Acknowledgement
//
// A record is safe once [Journal.Append] has returned nil: its bytes were
// handed over in one write and one fsync followed. [Create] syncs the folder.
// [Open] writes what it read over itself and syncs that before it returns, so
// that it is as safe as what was appended, whatever became of the process that
// wrote it. (The folder's own entry in its parent is the
// business of whoever makes the folder.)
//
// After a failed write or fsync nobody knows what the disk holds. Linux even
// forgets the data: the next fsync succeeds, and a reader sees bytes that are
// nowhere but in memory. So the handle is dead from then on ([ErrDead]). It
// never tries again; it only takes the bytes that were not acknowledged back
// off the end of the file. The caller closes it, opens the log anew, looks at
// what it holds and appends what is missing.
//
// # What a crash may do
//
// The power may go, or the process be killed, at any moment. It is assumed
// that then
//
//   - bytes that were synced stay as they are, also while bytes beside them,
//     or the same bytes once more, are being written;
//   - of the bytes written since, the disk has all, none or a beginning, and
//     the file may be longer than that, filled with zero bytes;
//   - a name that was synced in its folder stays.
//
// What stands behind the last newline is therefore the torn tail of a write
// that nobody was told had succeeded, and so are zero bytes at the end. [Open]
// copies it aside, cuts it off, and says so ([Journal.Repaired]). If an Append
// of several records tore, those of them that are whole are kept: they were
// never acknowledged, but they are true.
//
// All else is damage, [ErrCorrupt], and never touched: also a last line that
// is complete but does not match its checksum, because it may have been
// acknowledged. A disk that after a crash shows the end of a write but not its
// middle is outside the assumptions; it reads as damage, not as a shorter log.
// A CRC finds accidents, not forgery.
//
// # One writer
//
// Whoever writes holds a lock (flock) on the file path + ".lock". The system
// drops it when the process ends, however it ends. The lock file tells in JSON
// who has it ([Holder]); it is emptied on [Journal.Close] and stays where it
// is. Readers need no lock: a line that is being written looks to them like a
// torn tail, and is whole when they look again. A [Follower] reads on from
// where it was.
package journal
