package logbook

// Row is one line of a table.
type Row struct{ Place Place }

// Reading is one line of hours/<engine>.csv.
type Reading struct {
	Row
	Date    Date   `key:"date" doc:"ship's local day"`
	Counter Number `key:"counter_h" unit:"h" doc:"reading of the hour counter"`
	Note    Text   `key:"note" doc:"for a replaced counter: replaced: old counter ended at <reading>"`
}

// Run is one line of running/<engine>.csv: the running data of one cylinder on one day.
type Run struct {
	Row
	Date     Date   `key:"date" doc:"ship's local day"`
	Load     Number `key:"load_pct" doc:"engine load in per cent"`
	Fuel     Text   `key:"fuel" doc:"fuel in use"`
	Cylinder Serial `key:"cylinder" doc:"cylinder" as:"plain"`
	Exhaust  Number `key:"exhaust_c" doc:"exhaust temperature in °C"`
	Dev      Number `key:"exhaust_dev_k" doc:"exhaust temperature against the cylinder's own reference, in K"`
	Pmax     Number `key:"pmax_bar" doc:"pmax in bar"`
	PmaxDev  Number `key:"pmax_dev_bar" doc:"pmax against the reference, in bar"`
	Pcomp    Number `key:"pcomp_bar" doc:"compression pressure in bar, with the fuel of the cylinder shut off"`
	PcompDev Number `key:"pcomp_dev_bar" doc:"compression pressure against the reference, in bar"`
	FuelRack Number `key:"fuel_rack" doc:"fuel rack index"`
	Engine   string // the engine, from the file's name
}

// Bunker is one line of fuel/bunkers.csv.
type Bunker struct {
	Row
	Stem      Text   `key:"stem" doc:"name of the delivery"`
	Received  Date   `key:"received" doc:"day received"`
	From      Date   `key:"in_use_from" doc:"first day in use"`
	To        Date   `key:"in_use_to" doc:"last day in use; empty while in use"`
	Grade     Text   `key:"grade" doc:"fuel grade"`
	AlSi      Number `key:"al_si_mg_kg" doc:"aluminium and silicon as delivered, in mg/kg"`
	Viscosity Number `key:"viscosity" doc:"viscosity at 50 °C, in mm²/s"`
	Note      Text   `key:"note" doc:"laboratory remarks"`
}

// StockMove is one line of stores/stock.csv.
type StockMove struct {
	Row
	Date     Date   `key:"date" doc:"day of the movement"`
	Item     Text   `key:"item" doc:"what: nozzle, pocket ring, seal kit …"`
	PartNo   Text   `key:"part_no" doc:"part number"`
	Serial   Serial `key:"serial" doc:"serial, for nozzles and holders" as:"plain"`
	Change   Number `key:"change" doc:"received (+) or used (-)"`
	OnOrder  Number `key:"on_order" doc:"ordered, not yet here"`
	Due      Date   `key:"due" doc:"day the order is expected"`
	Price    Number `key:"price" doc:"price of one"`
	LeadDays Number `key:"lead_days" doc:"days from order to the ship"`
	Note     Text   `key:"note" doc:"remark"`
}

// Answer is one line of answers.csv: a person's answer to a finding that no work can make good. It holds for the facts
// that were answered to, not for the words in which the finding was said.
type Answer struct {
	Row
	Date    Date   `key:"date" doc:"day of the answer"`
	Check   Text   `key:"check" doc:"the check, by its permanent id"`
	About   Text   `key:"place" doc:"what the finding is about: record, part, pocket, instrument or file"`
	Text    Text   `key:"text" doc:"digest of what was answered to, 12 hexadecimal digits, as check prints it"`
	Version Number `key:"version" count:"yes" doc:"version of the check that was answered to"`
	Answer  Text   `key:"answer" doc:"the answer, in a sentence"`
	By      Serial `key:"by" doc:"who answers: an id of crew.csv, and the signer of the line" as:"person"`
	Until   Text   `key:"until" doc:"for what grows: when it lapses, a day or running hours from that day on, as 300 h"`
}

// CrewFile is the table of who is aboard.
const CrewFile = "crew.csv"

// CrewPeriod is one line of crew.csv.
type CrewPeriod struct {
	Row
	ID   Serial `key:"id" doc:"id used in records" as:"plain"`
	Name Text   `key:"name" doc:"name"`
	Rank Text   `key:"rank" doc:"rank"`
	From Date   `key:"from" doc:"first day"`
	To   Date   `key:"to" doc:"last day; empty where not known"`
}
