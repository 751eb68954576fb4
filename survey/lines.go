package survey

func (w *view) lines() []Line { return nil }
