package quantity

// ParsePressure and ParseEnergy read what no cook is asked for, but what is printed, and
// what a wrong unit is told by.
func ParsePressure(text string) (Pressure, error) { return parse[Pressure](&pressures, text) }
func ParseEnergy(text string) (Energy, error)     { return parse[Energy](&energies, text) }
