package history

import (
	"cmp"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/timing/pace"
)

// A Count is how many services and units a usual time rests on.
type Count struct{ Services, Units int }

// Known is what is known of a stylist's times, and what it rests on.
type Known struct {
	session.Usuals
	// Seen counts what was seen, by [Key].
	Seen map[string]Count
	// First and Last are the openings of the oldest and the newest service
	// that it rests on; zero if there are none.
	First, Last time.Time
	// Invented says that it rests on demonstration data.
	Invented bool
}

// Key is the key of a kind of stint in [Known.Seen]: "place" and the technique
// for pieces, [session.OtherKey] for all else.
func Key(kind session.StintKind, name string) string {
	if kind == session.StintPlace {
		return string(kind) + " " + name
	}
	return session.OtherKey(kind, name)
}

// Bounds of what is taken for work. House rules; common practice, no source.
const (
	shortest = 10 * time.Second // of a stint: what is shorter is a slip of the key
	longest  = 4 * time.Hour    // what is longer was forgotten, such as a closing on the next day
	// A piece is reckoned at no less than the median time of its technique by
	// the factor least, and at no more than most times that and overlong: an
	// interruption, which the pace knows of, and not a whole evening.
	least    = 1.0 / 8
	most     = 4.0
	overlong = 20 * time.Minute
)

// maxObservations is how many observations of pieces a fit takes in: what
// takes about half a second. Of more, neighbours in a zone are put together.
// Even at 25 a service, half as many, that leaves the usual times and their spread between services
// as they were; interruptions look fewer and longer by half, which comes to the
// same time in all. At 8 a service the noise of single pieces is told a third
// too high.
const maxObservations = 3000

// Fit makes a stylist's usual times of closed services, of which the order
// does not matter. Of none, the pace is [pace.Default], which knows no technique,
// and there are no others.
//
// Place stints that tell of the pace ([session.Stint.Tells]) go through
// [pace.Fit], from [pace.Default] with the minutes that the plan of the newest
// service to state any has for the technique. A time is limited to between an
// eighth of the median per piece of its technique, and four times that and 20
// minutes.
//
// All other stints, per unit, become a log-normal for each [session.OtherKey]
// that was seen: a house figure, or for steps the minutes that the plan states,
// is corrected by them, the more the more there are. Those of less than 10
// seconds or more than 4 hours are left out, and one that lies far off the others
// counts as less far off. Helpers don't count for them.
//
// Width is left at its zero value. Equal services give equal figures. The
// error is that of [pace.Fit].
func Fit(services []Service) (Known, error) {
	services = slices.Clone(services)
	slices.SortStableFunc(services, func(a, b Service) int {
		return cmp.Or(a.Opened.Compare(b.Opened), cmp.Compare(a.ID, b.ID))
	})
	k := Known{Seen: map[string]Count{}}
	for _, s := range services {
		if len(s.Stints) == 0 {
			continue
		}
		if k.Services++; k.Services == 1 {
			k.First = s.Opened
		}
		k.Last, k.Invented = s.Opened, k.Invented || s.Invented
	}
	k.Others = others(services, k.Seen)
	var err error
	k.Pace, err = pace.Fit(start(services), pasts(services, k.Seen))
	return k, err
}

// start is the pace before anything is learned, as the plans state it.
func start(services []Service) pace.Prior {
	p := pace.Default()
	for _, s := range slices.Backward(services) { // the newest goes first
		for technique, minutes := range s.Pieces {
			p = p.With(technique, minutes)
		}
	}
	return p
}

// pasts are the observations of pieces, in order of time.
func pasts(services []Service, seen map[string]Count) []pace.Past {
	var all []pace.Past
	each := map[string][]float64{}
	for _, s := range services {
		var p pace.Past
		for _, st := range s.Stints {
			if !st.Tells() || st.Took > longest*time.Duration(st.Units) {
				continue
			}
			p.Observations = append(p.Observations, pace.Observation{
				Step: st.Name, Zone: st.Zone, Units: st.Units, Took: st.Took, Helpers: min(st.Helpers, 100),
			})
			each[st.Name] = append(each[st.Name], st.Took.Minutes()/float64(st.Units))
		}
		count(seen, p)
		if len(p.Observations) > 0 {
			all = append(all, p)
		}
	}
	for name := range each {
		slices.Sort(each[name])
	}
	for _, p := range all {
		for i := range p.Observations {
			o := &p.Observations[i]
			sorted := each[o.Step]
			o.Took = limit(o.Took, o.Units, sorted[len(sorted)/2])
		}
	}
	for i := range all {
		all[i].Observations = thin(all[i].Observations, maxObservations/len(all))
	}
	return all
}

// limit keeps the time of n pieces of which one takes so many minutes, by the
// median, within what can be.
func limit(took time.Duration, n int, median float64) time.Duration {
	whole := time.Duration(median * float64(n) * float64(time.Minute))
	return min(max(took, time.Duration(least*float64(whole))), most*whole+overlong)
}

// count adds the pieces of one service.
func count(seen map[string]Count, p pace.Past) {
	here := map[string]bool{}
	for _, o := range p.Observations {
		k := Key(session.StintPlace, o.Step)
		c := seen[k]
		c.Units += o.Units
		if !here[k] {
			here[k] = true
			c.Services++
		}
		seen[k] = c
	}
}

// thin puts neighbours of one zone and technique together, evenly, until there
// are no more than so many observations, as far as that goes.
func thin(all []pace.Observation, keep int) []pace.Observation {
	var runs [][]pace.Observation
	from, longestRun := 0, 0
	for i := range all {
		if i+1 == len(all) || all[i+1].Step != all[i].Step || all[i+1].Zone != all[i].Zone {
			runs = append(runs, all[from:i+1])
			longestRun = max(longestRun, i+1-from)
			from = i + 1
		}
	}
	parts := func(run []pace.Observation, together int) int { return (len(run) + together - 1) / together }
	together := 1
	for ; together < longestRun; together++ {
		n := 0
		for _, run := range runs {
			n += parts(run, together)
		}
		if n <= keep {
			break
		}
	}
	var out []pace.Observation
	for _, run := range runs {
		n := parts(run, together)
		for i := range n {
			out = append(out, merge(run[i*len(run)/n:(i+1)*len(run)/n]))
		}
	}
	return out
}

// merge is several observations as one.
func merge(os []pace.Observation) pace.Observation {
	one, helped := os[0], 0.0
	one.Units, one.Took = 0, 0
	for _, o := range os {
		one.Units, one.Took = one.Units+o.Units, one.Took+o.Took
		helped += o.Helpers * o.Took.Minutes()
	}
	one.Helpers = helped / one.Took.Minutes()
	return one
}
