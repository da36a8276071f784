// Package sysclock reads the clocks of the machine. It holds the one real
// [rinseby/timing.Clock]; all else in the program is handed readings.
//
// What a reading can be trusted for depends on the system:
//
//   - Linux: the time since boot counts sleep and hibernation, and can be
//     compared across processes for as long as the machine is not restarted.
//   - macOS: the same.
//   - Windows: the time since boot counts sleep, in steps of 10 to 16 ms, but
//     the boot is named anew by every process. Readings of two processes can
//     therefore only be compared by the wall clock, as after a restart.
//   - Other systems, and Linux without /proc: the time since boot is unknown,
//     and only the wall clock is to be had.
//
// In a container the boot is the host's: stopping and starting the container
// does not end it. Where a container also has a time namespace of its own
// (few do), the kernel shifts its time since boot by an offset that the name of
// the boot does not tell, so a log must not be moved between two of them.
//
// A virtual machine that is paused, or set back to a snapshot, keeps its boot
// and need not count the time it stood still. The wall clock then disagrees
// with the time since boot, which [rinseby/timing.Timeline] reports as a gap.
package sysclock
