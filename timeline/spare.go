package timeline

// Spare reports whether what is said of how to do a step may be left out where paper is
// short, its title and notes aside: nothing of it is about the process, the chill or
// safety, and no figure of it is needed.
func (p Plan) Spare(s Step) bool {
	switch s.Role {
	case HeatUp, CleanUp, PreFreeze, DryLoad, Dry:
		return true
	case Simmer:
		return s.Kind != Waiting && !p.Batch.TopUp && !p.Batch.NeedsWatching
	}
	return false
}
