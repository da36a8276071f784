package card_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
)

func TestPromisesOfACard(t *testing.T) {
	c := newChair(t)
	at := func(seconds int) *time.Time { at := c.moment(seconds); return &at }
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: at(3600)})
	assert.Contains(t, card.Make(c.log, c.now, nil).Markdown(), "- Promised to be done by: 09:00:00\n")
	c.at(2400).do(session.PromiseChanged{Promised: at(5400), Told: "the front desk & June"})
	c.at(5340).do(session.ServiceClosed{})
	got := card.Make(c.log, c.now, nil)
	assert.Equal(t, c.moment(5400), *got.Promised)
	assert.Equal(t, []card.Promise{
		{At: c.moment(0), Promised: at(3600)},
		{At: c.moment(2400), Promised: at(5400), Told: "the front desk & June"},
	}, got.Promises)
	md := got.Markdown()
	assert.Contains(t, md, "- Promised to be done by: 09:00:00; from 08:40:00 on 09:30:00\n- Told at 08:40:00: the front desk \\& June\n")
	page, text := pageOf(t, got)
	assert.Contains(t, page.text, "Promised to be done by 09:00:00; from 08:40:00 on 09:30:00, closed at 09:29:00: 1 min early")
	assert.Contains(t, text, "the front desk &amp; June")
	for _, line := range got.Text(60) {
		assert.LessOrEqual(t, len([]rune(line)), 60)
	}

	encoded, err := json.Marshal(got)
	require.NoError(t, err)
	var again card.Card
	require.NoError(t, json.Unmarshal(encoded, &again))
	assert.Equal(t, got.Promises, again.Promises)

	c.do(session.EventVoided{Seq: 3})
	c.do(session.PromiseChanged{})
	none := card.Make(c.log, c.now, nil)
	assert.Nil(t, none.Promised)
	assert.Contains(t, none.Markdown(), "; from 09:29:00 on nothing\n")
}
