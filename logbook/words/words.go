package words

// Word is one thing under the one name that the program gives it.
type Word struct {
	Name   string
	Means  string // one line
	Others string // what other crews call the same, where they do
}

// All are the words by the alphabet.
func All() []Word { return table }

// Text is what the word means, and what others say for it.
func (w Word) Text() string {
	if w.Others == "" {
		return w.Means
	}
	return w.Means + " Others say: " + w.Others + "."
}

var table = []Word{
	{Name: "as found", Means: "Before the valve is dismantled or set. It cannot be measured again."},
	{Name: "as left", Means: "After the valve was set and tested, as it goes to the engine or to the spares rack."},
	{Name: "audit trail", Means: "The way from a value to the signed commit that set it."},
	{Name: "bench card", Means: "The sheet for the bench: limits, last values, and blanks to fill in."},
	{Name: "book", Means: "The logbook of one vessel: plain files under git."},
	{Name: "commission", Means: "To start a book: vessel, engines, limits, first signers."},
	{Name: "countersign", Means: "To sign as chief engineer for having seen exactly one text."},
	{Name: "deferral", Means: "A limit knowingly exceeded: by whom approved, until which hours and day."},
	{Name: "effective lift", Means: "The needle lift and the wear of the holder's face together."},
	{Name: "finding", Means: "What a check found: where, its grade (stop, action required, advice, note), why, " +
		"what to do."},
	{Name: "first opening pressure (pop)", Means: "The first reading of a test, before deposits are flushed away."},
	{Name: "fuel rack", Means: "The control rod of the fuel pump; its index shows how much fuel is injected.",
		Others: "pump index"},
	{Name: "holder", Means: "Body, spring and spindle of a valve, with a serial and a life of its own."},
	{Name: "interval review", Means: "The evidence for a shorter or longer time between overhauls."},
	{Name: "leak-down", Means: "Time in which the test pressure falls between two stated pressures, past the " +
		"needle guide.",
		Others: "back leakage, pressure drop time"},
	{Name: "limit", Means: "The permitted range of a reading, from the maker's documents, with its source and first day."},
	{Name: "mailbag", Means: "The book's commits as files, carried by mail or on a stick."},
	{Name: "needle lift", Means: "How far the needle rises from its seat.", Others: "stroke"},
	{Name: "nozzle", Means: "Body and needle, a matched pair, with a serial and a life of its own."},
	{Name: "opening pressure", Means: "The pressure at which the needle lifts on the hand pump.",
		Others: "popping pressure, lifting pressure"},
	{Name: "other cylinders", Means: "The other cylinders of the engine, and those of the same number on other engines."},
	{Name: "out of tolerance", Means: "An instrument whose error exceeded what its certificate or class permits."},
	{Name: "overhaul", Means: "One valve's work in the workshop, from its removal to its next fitting.", Others: "O/H"},
	{Name: "pcomp", Means: "Compression pressure: the highest cylinder pressure without fuel.",
		Others: "compression pressure"},
	{Name: "pmax", Means: "The highest cylinder pressure with fuel.", Others: "firing pressure, peak pressure"},
	{Name: "pocket", Means: "The bore in the cylinder head in which the valve is fitted."},
	{Name: "position", Means: "An engine and a cylinder, as in ME1-3."},
	{Name: "ready spare", Means: "A complete valve, tested and kept for fitting."},
	{Name: "recurring findings",
		Means: "What several records show together: one holder, position, fuel or gauge behind them."},
	{Name: "revision", Means: "A dated version of the limits. Work is judged by the one in force on its day."},
	{Name: "round (valve round)", Means: "The overhauls of one engine done together."},
	{Name: "running data", Means: "Exhaust temperature and pmax of the cylinder before removal and after fitting."},
	{Name: "service period", Means: "One period of a valve in one cylinder, from fitting to removal."},
	{Name: "setting class", Means: "New, used or reground: which opening pressure the valve is set to."},
	{Name: "shore receipt", Means: "What the office signs for having received, kept outside the book."},
	{Name: "signer", Means: "A person who signs with a key of their own, in a role, from one day to another."},
	{Name: "spares rack", Means: "The place where ready spares are kept."},
	{Name: "spray paper", Means: "The paper held under the nozzle in the spray test, kept as a picture."},
	{Name: "uncertainty", Means: "How well a reading is known: ± U, with its coverage factor k."},
	{Name: "valve", Means: "The fuel injection valve, holder and nozzle as fitted.", Others: "injector"},
	{Name: "verdict", Means: "A reading against its limit, with the uncertainty of its instrument."},
}
