// Package replay is the screen on which a logged service is relived: the chair
// as it was, a transport below it that says which moment is shown and how fast
// it goes, and a timeline of the whole service with its warnings, trips and
// marks.
//
// The chair is package station, shown by the root as it is of a live service;
// nothing of it is made here. What would log comes out as the same intents as
// at the chair, and the root refuses them.
package replay
