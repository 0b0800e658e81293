package busy

// Work is what the rules took so far, in days looked at.
func (r *Reader) Work() int { return r.work }
