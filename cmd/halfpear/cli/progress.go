package cli

import (
	"fmt"
	"os"
	"time"
)

// progress tells on standard error how far long work has come, where that is a terminal and
// the work lasts. The returned end wipes the line.
func (c *console) progress(what string) (tell func(share float64), end func()) {
	f, ok := c.err.(*os.File)
	if ok {
		info, err := f.Stat()
		ok = err == nil && info.Mode()&os.ModeCharDevice != 0
	}
	if !ok {
		return func(float64) {}, func() {}
	}
	const patience = time.Second
	began, told := time.Now(), time.Time{}
	tell = func(share float64) {
		now := time.Now()
		if now.Sub(began) < patience || now.Sub(told) < patience/5 {
			return
		}
		told = now
		fmt.Fprintf(c.err, "\r%s: %3.0f %%", what, 100*share)
	}
	return tell, func() {
		if !told.IsZero() {
			fmt.Fprintf(c.err, "\r%*s\r", len(what)+8, "")
		}
	}
}
