//go:build unix

package main

// brokenHarm are ways to let harm wait.
var brokenHarm = []control{
	{
		name: "weakened hair waits", file: "session/next.go",
		old: "{s.nextClosed, s.nextPain, s.nextHarm}", new: "{s.nextClosed, s.nextPain}",
		pkg: "./session", run: "^TestNoGlanceContradictsItself$", finds: "glance_test.go",
	},
	{
		name: "weakened hair waits", file: "session/next.go",
		old: "{s.nextClosed, s.nextPain, s.nextHarm}", new: "{s.nextClosed, s.nextPain}",
		pkg: "./tui", run: "^TestWeakenedHairOwnsEveryScreen$", finds: "harm_test.go",
	},
	{
		name: "a limit waits for the next piece", file: "session/must.go",
		old: "after := b.Now.Add(max(s.stepTime(b, next), leastStep))", new: "after := b.Now",
		pkg: "./session", run: "^TestPlacingGivesWayToALimitThatGoingNowKeeps$", finds: "glance_test.go",
	},
	{
		name: "a limit waits behind what is ready", file: "session/must.go",
		old: "if next.Verb != DoReady {", new: "if next.Verb != DoReady || true {",
		pkg: "./session", run: "^TestWhatIsReadyGivesWayToALimitBehindIt$", finds: "glance_test.go",
	},
	{
		name: "a plan takes others along with harm", file: "session/trips.go",
		old: "b.Reaction != nil || b.Harm != nil {", new: "b.Reaction != nil {",
		pkg: "./session", run: "^TestATripThatIsDueTakesNothingAlongWithHarm$", finds: "glance_test.go",
	},
}
