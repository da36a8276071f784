package session_test

import (
	"fmt"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// rawKey is what no person is shown: over:z1, safety-cap:history:6:9.
var rawKey = regexp.MustCompile(`[a-z-]+:[a-z0-9:]+`)

func TestEveryWarningHasWords(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.History, "lightened before", ""), answer(safety.Scalp, "sensitive", ""))
	for key, words := range map[string]string{
		"over:z1": "Nape, over its limit", "closing:z2": "Crown, near its limit", "ahead:z1": "Nape, will go over its limit at this pace",
		"never-open:z1": "Nape, its newest piece is not open before its oldest is at the limit", "no-limit:z1": "Nape, its limit is not known",
		"heat-over:z2": "Crown, over its limit at once under heat", "collision:z1:z2": "Nape, no plan keeps its limit, behind Crown",
		"collision:z1:z1": "Nape, no plan keeps its limit", "used-up:z1:end": "Nape, end: had its whole limit already",
		"mushy:z1": "Nape, the hair stays stretched", "weak:z2": "Crown, the hair is weakened", "over:z9": "a zone, over its limit",
		"stale:b1": "bowl b1 (Chalk 30 vol), past its working life", "stale-soon:b2": "bowl b2 (Chalk 20 vol), near the end of its working life",
		"over-cap:b1": "bowl b1 (Chalk 30 vol), over the legal cap on peroxide", "stale:b9": "a bowl, past its working life",
		"longer-limit:chalk:30 vol": "a longer limit for chalk 30 vol", "gap:7": "the computer was off, or its clock was moved", "pain:7": "pain or burning",
		"safety-cap:history:6:9": "Lightened before: 30 vol where 20 vol is the most", "safety-scalp:scalp": "Sensitive scalp: product on the scalp",
		"safety-cap:history:6:x": "Lightened before: a stronger developer where 20 vol is the most", "safety-cap:x": "a warning",
		"stopped:scalp": "what was on had to come off by an answer: Scalp, looked at today", "stopped:x": "what was on had to come off by an answer: a safety question",
		"floor:a:b": "another client needs the same hands", "other:s1:over:z1": "another client needs the same hands", "brand-new:z1": "a warning", "": "a warning",
	} {
		assert.Equal(t, words, c.state().Warned(key), key)
		assert.NotRegexp(t, rawKey, c.state().Say(session.WarningAcknowledged{Warning: key}))
	}
}

func TestNobodyIsShownAKey(t *testing.T) {
	refused, warned := 0, map[string]bool{}
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{rt, c, 1}
		var needs *session.ErrNeedsReason
		for range d.count(15, 40) {
			d.pass(false)
			cmd := d.command()
			if d.count(0, 5) == 0 {
				strong := root30
				strong.Strength = formula.Percent(d.count(2, 8) * 3)
				cmd = session.Do(bowl(strong, 10, float64(d.count(10, 90))))
			}
			if needs != nil && d.count(0, 2) == 0 {
				cmd = session.Do(session.WarningAcknowledged{Warning: needs.Key, Reason: d.one("why", []string{"", "ok", "1", "it was asked for"})})
			}
			if err := c.try(cmd); err != nil {
				refused++
				require.NotRegexp(rt, rawKey, err.Error())
				asErr[*session.ErrNeedsReason](err, &needs)
				continue
			}
			last := c.log.Events()[c.last()-1]
			require.NotRegexp(rt, rawKey, c.state().Say(last.Data))
			b := c.board()
			require.NotRegexp(rt, rawKey, b.Next.Text+" "+b.Next.Why)
			for _, w := range b.Warnings {
				warned[rawKey.FindString(w.Key)] = true
				require.NotRegexp(rt, rawKey, w.Text)
				require.NotRegexp(rt, rawKey, c.state().Warned(w.Key))
				require.NotEqual(rt, "a warning", c.state().Warned(w.Key), w.Key)
			}
		}
	})
	require.NotZero(t, refused)
	require.Greater(t, len(warned), 3)
}

// The list of a cap has the figures of what goes over it, and no other warning
// has one: past a limit it takes a sentence.
func TestReasonsToPickAreThoseOfTheCap(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.History, "lightened before", ""))
	key := "safety-cap:history:6:12"
	assert.Equal(t, safety.Reasons(safety.History, "lightened before", 12), c.state().Reasons(key))
	for _, other := range []string{"used-up:z1:end", "heat-over:z1", "longer-limit:chalk:30 vol", "mushy:z1", "weak:z1", "safety-cap:strand-test:9:12", "over:z1", "safety-cap:x"} {
		assert.Empty(t, c.state().Reasons(other), other)
		for _, short := range []string{"1", "ok", "the maker"} {
			err := c.state().CheckReason(other, short)
			if other == "over:z1" {
				assert.NoError(t, err, "it was seen, and passes nothing")
				continue
			}
			assert.ErrorIs(t, err, safety.ErrNoReason, other)
		}
	}
	for i, words := range c.state().Reasons(key) {
		c.do(session.WarningAcknowledged{Warning: key, Reason: fmt.Sprint(i + 1)})
		acks := c.state().Acks
		assert.Equal(t, words, acks[len(acks)-1].Reason, "the log keeps the words")
		assert.Contains(t, words, "40 vol")
	}
}
