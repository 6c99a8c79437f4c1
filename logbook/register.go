package logbook

import (
	"path"
	"strings"
)

// Part is parts/<serial>.md: what is known of one nozzle or holder beside the overhauls.
type Part struct {
	File
	Serial      Serial    `key:"serial" doc:"serial as stamped"`
	Kind        Word      `key:"kind" words:"nozzle|holder|spring" doc:"what it is"`
	PartNo      Text      `key:"part_no" doc:"part number"`
	Marking     Text      `key:"marking" doc:"marking as stamped"`
	Received    Date      `key:"received" doc:"day it came on board"`
	From        Text      `key:"from" doc:"supplier or workshop"`
	Batch       Text      `key:"batch" doc:"batch or order"`
	Certificate Text      `key:"certificate" doc:"certificate"`
	Lift        Amount    `key:"lift" unit:"mm" doc:"lift on receipt"`
	Hours       Amount    `key:"hours" unit:"h" doc:"hours run before it came into this book"`
	Used        Word      `key:"used" words:"yes|no" doc:"it came used or reground"`
	Scrapped    PartEnd   `key:"scrapped" doc:"taken out of use"`
	Condemned   PartEnd   `key:"condemned" doc:"never to be fitted again"`
	Landed      Landed    `key:"landed" doc:"sent ashore for good, with the receipt of who took it"`
	Claim       PartEnd   `key:"claim_decided" doc:"how a claim for the part was decided"`
	StampRead   []Stamp   `key:"stamp_read" same:"date" doc:"somebody has read the stamp: where the book has the part in two places"`
	RecordBook  []Entries `key:"record_book" same:"fitted" doc:"entries in the record book of engine parameters, for a nozzle whose marking is not permitted"`
	Regrinds    []Regrind `key:"regrinds" same:"date" doc:"regrinds, ashore or aboard"`
	Photos      Texts     `key:"photos" doc:"pictures under photos/"`
	Remarks     string
}

// Number is the part's serial, or the name of its file where none is stated.
func (p *Part) Number() string {
	if p.Serial.Written != "" {
		return p.Serial.Written
	}
	return strings.TrimSuffix(path.Base(p.Path), ".md")
}

// PartEnd is how a part left use.
type PartEnd struct {
	Block
	Date Date `key:"date" doc:"day"`
	Why  Text `key:"why" doc:"reason"`
}

// Landed is a part sent ashore for good.
type Landed struct {
	Block
	Date    Date `key:"date" doc:"day"`
	To      Text `key:"to" doc:"who took it"`
	Receipt Text `key:"receipt" doc:"number or date of the receipt"`
}

// Stamp is one reading of a part's stamp.
type Stamp struct {
	Block
	Date  Date   `key:"date" doc:"day"`
	By    Serial `key:"by" doc:"who read it" as:"person"`
	Reads Serial `key:"reads" doc:"what the stamp says"`
	At    Text   `key:"at" doc:"where the part was then"`
}

// Entries are the two entries in the record book of engine parameters for one time that a nozzle was in an engine.
type Entries struct {
	Block
	Fitted  Date `key:"fitted" doc:"day of the fitting, as entered there"`
	Removed Date `key:"removed" doc:"day of the removal, as entered there"`
	Page    Text `key:"page" doc:"page or number of the entries"`
}

// Regrind is one regrind.
type Regrind struct {
	Block
	Date  Date   `key:"date" doc:"day"`
	By    Text   `key:"by" doc:"workshop or hand"`
	Off   Amount `key:"off" unit:"mm" doc:"what was ground off"`
	After Amount `key:"lift" unit:"mm" doc:"lift afterwards"`
}

// Instrument is instruments/<id>.md.
type Instrument struct {
	File
	ID          Serial       `key:"id" doc:"short name used in records" as:"plain"`
	Kind        Word         `key:"kind" words:"gauge|sensor|dial gauge|depth gauge|micrometer|calliper|magnifier|torque wrench|bench|thermometer|stopwatch" doc:"what it is"`
	Measures    Word         `key:"measures" words:"pressure|length|torque|time|temperature|share" doc:"what it measures"`
	Range       Band         `key:"range" unit:"any" lone:"end" doc:"range: 0 to 600 bar"`
	Division    Amount       `key:"division" unit:"any" doc:"smallest division"`
	Reading     Amount       `key:"reading" unit:"any" doc:"how closely it is read at a hand pump while the pointer moves, where that is not the setting pump_reading"`
	Class       Number       `key:"class" doc:"accuracy class: most permissible error, in per cent of span"`
	Error       Amount       `key:"error" unit:"any" doc:"most permissible error: a value, or a share of the reading"`
	Calibrated  Date         `key:"calibrated" doc:"day of the last calibration"`
	Until       Date         `key:"calibrated_until" doc:"last day the calibration holds"`
	Certificate Text         `key:"certificate" doc:"certificate"`
	Points      []Point      `key:"points" same:"true" doc:"what it showed at true values, from its certificate"`
	PointsKnown Amount       `key:"points_uncertainty" unit:"any" doc:"expanded uncertainty (k = 2) of those points, from its certificate"`
	Comparisons []Comparison `key:"comparisons" same:"date,against" doc:"comparisons with another instrument"`
	FoundWrong  []FoundWrong `key:"found_wrong" same:"from" doc:"times during which it read wrong"`
	AsFound     []Recheck    `key:"as_found" same:"date" doc:"what a certificate says of how it read as found, before anything was adjusted"`
	Oil         BenchOil     `key:"oil" doc:"test oil of a bench"`
	Trapped     Amount       `key:"trapped_volume" unit:"cm³" doc:"oil volume shut in during leak-down"`
	OwnLeak     LeakDown     `key:"own_leak" doc:"the bench's own leak on a blank plug"`
	Signal      Texts        `key:"signal" doc:"the two points of a sensor: what it gives at a pressure, 4 mA = 0 bar"`
	Added       Amount       `key:"added_volume" unit:"cm³" doc:"oil volume that a sensor with its adapter adds to the bench, as measured"`
	MaxPressure Amount       `key:"max_pressure" unit:"bar" doc:"the bench's own limit"`
	Remarks     string
}

// Comparison is one comparison of an instrument with a better one.
type Comparison struct {
	Block
	Date    Date   `key:"date" doc:"day"`
	Against Serial `key:"against" doc:"the other instrument" as:"instrument"`
	True    Amount `key:"true" unit:"any" doc:"value of the other instrument"`
	Shows   Amount `key:"shows" unit:"any" doc:"value of this instrument"`
	By      Serial `key:"by" doc:"who compared" as:"person"`
}

// Point is what an instrument showed at a true value.
type Point struct {
	Block
	True  Amount `key:"true" unit:"any" doc:"true value"`
	Shows Amount `key:"shows" unit:"any" doc:"what it showed"`
}

// FoundWrong is a time during which an instrument read wrong. Factor is what it showed over what was true.
type FoundWrong struct {
	Block
	From   Date   `key:"from" doc:"first day it may have read wrong"`
	To     Date   `key:"to" doc:"last day"`
	Factor Number `key:"factor" doc:"shown over true"`
	Off    Amount `key:"by" unit:"any" doc:"shown less true, where it is an offset"`
	Why    Text   `key:"why" doc:"what happened, and how it was found"`
}

// Recheck is what the certificate of a later calibration says of the instrument as it came in.
type Recheck struct {
	Block
	Date        Date   `key:"date" doc:"day of that calibration"`
	Certificate Text   `key:"certificate" doc:"its certificate"`
	Result      Word   `key:"result" words:"within|outside" doc:"within its permissible error as found, or outside; outside belongs under found_wrong too"`
	Error       Amount `key:"error" unit:"any" doc:"largest error as found"`
}

// BenchOil is the test oil of a bench.
type BenchOil struct {
	Block
	Name         Text   `key:"name" doc:"what it is"`
	Viscosity40  Amount `key:"viscosity_40" unit:"mm²/s" doc:"viscosity at 40 °C"`
	Viscosity100 Amount `key:"viscosity_100" unit:"mm²/s" doc:"viscosity at 100 °C"`
	Density15    Amount `key:"density_15" unit:"kg/m³" doc:"density at 15 °C"`
}

// Deferral is deferrals/<id>.md: a limit knowingly exceeded for a time. One without an end is not valid.
type Deferral struct {
	File
	ID          Serial   `key:"id" doc:"short name" as:"plain"`
	Record      Serial   `key:"record" doc:"file stem of the overhaul it concerns" as:"plain"`
	Limit       Text     `key:"limit" doc:"key of the limit exceeded, or name of the check whose stop it defers"`
	Holder      Serial   `key:"holder" doc:"holder concerned"`
	Nozzle      Serial   `key:"nozzle" doc:"nozzle concerned"`
	ByHowMuch   Text     `key:"by_how_much" doc:"how far beyond the limit"`
	Reason      Text     `key:"reason" doc:"why it must run"`
	Risk        Text     `key:"risk" doc:"what may happen and what is done against it"`
	Inspection  Text     `key:"inspection" doc:"what is looked at until then"`
	From        Date     `key:"from" doc:"first day"`
	Hours       Amount   `key:"hours" unit:"h" doc:"running hours allowed"`
	Until       Date     `key:"until" doc:"last day allowed"`
	RequestedBy Serial   `key:"requested_by" doc:"who asked" as:"person"`
	Approved    Approval `key:"approved" doc:"who approved it: the office, or the chief engineer alone, for as long as provisional_deferral says and once for a part"`
	Informed    Text     `key:"informed" doc:"maker and class informed"`
	Closed      PartEnd  `key:"closed" doc:"how it ended"`
	Remarks     string
}

// Approval is who approved, when and under which reference.
type Approval struct {
	Block
	By        Serial `key:"by" doc:"who" as:"person"`
	Date      Date   `key:"date" doc:"when"`
	Reference Text   `key:"reference" doc:"letter or message"`
	Confirmed Date   `key:"confirmed" doc:"day on which who approved it read the terms as they stand, and signed them"`
}

// Decision is decisions/<id>.md: an interval set, a trial, a change of practice.
type Decision struct {
	File
	ID        Serial  `key:"id" doc:"short name" as:"plain"`
	Date      Date    `key:"date" doc:"day"`
	Kind      Word    `key:"kind" words:"interval|trial|practice|other" doc:"what it decides"`
	Engines   Serials `key:"engines" doc:"engines it holds for; all where none is named" as:"plain"`
	Cylinders Serials `key:"cylinders" doc:"cylinders it holds for; all where none is named" as:"plain"`
	Interval  Amount  `key:"interval" unit:"h" doc:"running hours allowed"`
	Until     Date    `key:"until" doc:"last day it holds"`
	Evidence  Text    `key:"evidence" doc:"what it rests on"`
	Excluded  Text    `key:"excluded" doc:"what was left out, and why"`
	Stop      Text    `key:"stop_rule" doc:"what ends it early"`
	Review    Date    `key:"review" doc:"day it is looked at again"`
	By        Serial  `key:"by" doc:"who decided" as:"person"`
	Agreed    Serial  `key:"agreed" doc:"who agreed" as:"person"`
	Closed    PartEnd `key:"closed" doc:"how it ended"`
	Remarks   string
}

// Handover is handovers/<date>-<rank>.md.
type Handover struct {
	File
	Date    Date   `key:"date" doc:"day"`
	Rank    Text   `key:"rank" doc:"rank handed over"`
	From    Serial `key:"from" doc:"who leaves" as:"person"`
	To      Serial `key:"to" doc:"who takes over" as:"person"`
	Engine  Text   `key:"engine" doc:"state of the engines in short"`
	Suspect Texts  `key:"suspect" doc:"what is suspect"`
	Open    Texts  `key:"open" doc:"what is promised and open"`
	Lessons Texts  `key:"lessons" doc:"what was learned"`
	Remarks string
}

// Seen is countersigned/<stem>.<name>.md or reviews/<stem>.<name>.md: that a signer has seen exactly one text.
type Seen struct {
	File
	Record Text `key:"record" doc:"path of the record seen"`
	SHA256 Text `key:"sha256" doc:"SHA-256 of the text seen, in hexadecimal digits"`
	Word   Word `key:"seen" words:"as seen|remarks|refused" doc:"what the hand says of it"`
	Why    Text `key:"why" doc:"the reason, where a finding of grade stop was open"`
	// Evidence are the pictures and logs that the record named when it was seen.
	Evidence []SeenFile `key:"evidence" same:"file" doc:"the pictures and logs of the record, as they were seen"`
	Remarks  string
}

// SeenFile is a picture or a log as it was seen.
type SeenFile struct {
	Block
	File   Text `key:"file" doc:"path of the picture or log"`
	SHA256 Text `key:"sha256" doc:"SHA-256 of the file seen, in hexadecimal digits"`
}
