package client

import "time"

// SetSilence sets after what time a watched server counts as lost, so that a test
// does not wait for it.
func (c *Client) SetSilence(d time.Duration) { c.silence = d }
