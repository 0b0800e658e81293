package jar

// Catalogue is every jar known, smallest first.
var Catalogue = catalogue
