package session

import "time"

// RinseTime is what the rinse of one zone takes, as the service so far tells.
func RinseTime(s *State) time.Duration { return s.rinseTime() }
