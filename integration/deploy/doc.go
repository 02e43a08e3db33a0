// Package deploy tests the built program the way organisers and operators run it:
// its commands, its certificate, its stores, copies of events, no network at all,
// and the files in the folder deploy.
package deploy
