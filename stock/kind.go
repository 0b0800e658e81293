package stock

// Kind names what goes into the pot, as the cook writes it: "turkey-frames".
type Kind string
