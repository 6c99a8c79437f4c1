package logbook

import "needlebook/logbook/language"

// Vessel is book.md: the ship, her engines and cylinders in their order, the state on the day the book begins, what the
// owner accepts, and the settings of the rules.
type Vessel struct {
	File
	Name       Text           `key:"vessel" doc:"name of the ship"`
	Ident      Text           `key:"identification" doc:"identification number, or why there is none"`
	Port       Text           `key:"port" doc:"home port"`
	Owner      Text           `key:"owner" doc:"owner or manager"`
	Class      Text           `key:"class" doc:"classification society"`
	Languages  Words          `key:"languages" words:"en|es|id" doc:"languages of labels on cards and pages for the bench, the one taken without asking first; records keep the standard words"`
	Engines    []Engine       `key:"engines" same:"id" doc:"engines with their cylinders in order"`
	Opening    Opening        `key:"opening" doc:"state on the day the book begins"`
	Stopped    []Stopped      `key:"stopped" same:"engine,from" doc:"times the engines were declared stopped: yard, lay-up"`
	Heads      []HeadExchange `key:"head_exchanged" same:"engine,cylinder,date" doc:"cylinder heads that were exchanged, beside those of heads.csv: what was found about a pocket goes with its head"`
	Conditions []Condition    `key:"conditions_of_class" same:"from,what" doc:"what class wants done to injection valves, and when the surveyor has seen it"`
	Accepts    Accepts        `key:"accepts" doc:"the chance of a bad valve that the owner accepts at full interval"`
	Settings   Settings       `key:"settings" doc:"thresholds of the rules"`
	Format     Number         `key:"format" count:"yes" doc:"number of the book's format; a program that knows a lower one leaves what it does not know as it is"`
	Proof      Text           `key:"note" doc:"anything a reader should know first"`
	Remarks    string
}

// Languages are those that the book names for labels, in their order; that of the records where it names none.
func (b *Book) Languages() []string {
	var all []string
	for _, w := range b.Vessel.Languages.Each {
		if w.Stated() {
			all = append(all, w.Written)
		}
	}
	if len(all) == 0 {
		all = []string{language.Standard}
	}
	return all
}

// Engine is one engine.
type Engine struct {
	Block
	ID        Serial  `key:"id" doc:"short name used in every record: ME1" as:"plain"`
	Name      Text    `key:"name" doc:"name on board: port"`
	Type      Text    `key:"type" doc:"type designation"`
	Cylinders Serials `key:"cylinders" counted:"yes" doc:"cylinders in their order; a vee engine names its banks: A1, B1" as:"plain"`
	From      Text    `key:"numbered_from" doc:"end from which cylinders are counted"`
	ValvesOf  Serial  `key:"valves_of" doc:"engine in whose cylinders these are further valves, as pilot valves: its counter, stops and heads are theirs" as:"engine"`
	Limits    Serial  `key:"limits" doc:"limits file that applies, by its name" as:"plain"`
	Interval  Amount  `key:"interval" unit:"h" doc:"running hours between overhauls, where the owner set it"`
	Power     Text    `key:"power" doc:"rated power"`
	Speed     Text    `key:"speed" doc:"rated speed"`
}

// Opening is the state on the first day.
type Opening struct {
	Block
	Date   Date         `key:"date" doc:"first day of the book"`
	Fitted []OpenFit    `key:"fitted" same:"engine,cylinder" doc:"valve in each position on that day"`
	Rack   []StartSpare `key:"spares" same:"holder" doc:"ready spares on that day"`
}

// OpenFit is a valve that sat in a position when the book began.
type OpenFit struct {
	Block
	Engine      Serial `key:"engine" doc:"engine" as:"engine"`
	Cylinder    Serial `key:"cylinder" doc:"cylinder" as:"cylinder"`
	Holder      Serial `key:"holder" doc:"serial of the holder"`
	Nozzle      Serial `key:"nozzle" doc:"serial of the nozzle"`
	Counter     Amount `key:"counter" unit:"h" doc:"reading of the hour counter on that day"`
	Since       Amount `key:"since" unit:"h" doc:"hours the valve had run since its overhaul by that day; none where it was fitted that day"`
	NozzleHours Amount `key:"nozzle_hours" unit:"h" doc:"hours the nozzle had run in all by that day"`
	Left        Amount `key:"left" unit:"bar" doc:"opening pressure it was left at"`
	Marking     Text   `key:"marking" doc:"marking of the nozzle"`
}

// SinceAboveCounter says that the valve would have run longer than the engine ever did.
func (f *OpenFit) SinceAboveCounter() bool {
	return f.Since.Quantity.Valid() && f.Counter.Quantity.Valid() && f.Since.Compare(f.Counter.Quantity) > 0
}

// SinceBelieved is the hours since the valve's overhaul; 0 where they are not stated, or cannot be.
func (f *OpenFit) SinceBelieved() float64 {
	if f.SinceAboveCounter() {
		return 0
	}
	return f.Since.Float()
}

// StartSpare is a valve that lay in the spares rack when the book began.
type StartSpare struct {
	Block
	Holder      Serial        `key:"holder" doc:"serial of the holder"`
	Nozzle      Serial        `key:"nozzle" doc:"serial of the nozzle"`
	NozzleHours Amount        `key:"nozzle_hours" unit:"h" doc:"hours the nozzle had run in all by that day"`
	Left        Amount        `key:"left" unit:"bar" doc:"opening pressure it was left at"`
	Marking     Text          `key:"marking" doc:"marking of the nozzle"`
	Spot        Text          `key:"place" doc:"place in the spares rack"`
	For         Serial        `key:"for" doc:"engine that it is meant for, where they have valves of several types" as:"engine"`
	Fitted      StartSpareFit `key:"fitted" doc:"where it was fitted first, when no overhaul of this book says so"`
}

// StartSpareFit is the first fitting of a valve that lay in the spares rack when the book began.
type StartSpareFit struct {
	Block
	Engine   Serial `key:"engine" doc:"engine" as:"engine"`
	Cylinder Serial `key:"cylinder" doc:"cylinder" as:"cylinder"`
	Date     Date   `key:"date" doc:"day it was fitted"`
	Counter  Amount `key:"counter" unit:"h" doc:"reading of the hour counter"`
}

// Stopped is a time without running.
type Stopped struct {
	Block
	Engine Serial `key:"engine" doc:"engine; all engines where none is named" as:"engine"`
	From   Date   `key:"from" doc:"first day"`
	To     Date   `key:"to" doc:"last day"`
	Why    Text   `key:"why" doc:"yard, lay-up"`
}

// Condition is a condition of class.
type Condition struct {
	Block
	What      Text      `key:"what" doc:"what is to be done, and to which engine or part"`
	From      Date      `key:"from" doc:"day it was imposed"`
	Until     Date      `key:"until" doc:"last day by which it is to be done"`
	Statement Statement `key:"statement" doc:"the surveyor's statement that it is done"`
}

// Statement is what a surveyor has stated, as transcribed.
type Statement struct {
	Block
	Date      Date `key:"date" doc:"day"`
	Surveyor  Text `key:"surveyor" doc:"who stated it"`
	Reference Text `key:"reference" doc:"number of the report"`
}

// Accepts is what the owner accepts.
type Accepts struct {
	Block
	FailedAsFound Amount `key:"failed_as_found" unit:"%" doc:"chance of a bad valve at full interval"`
}

// Settings are the thresholds of the rules. What the book does not state falls to the default in its tag; each default
// says where it comes from.
type Settings struct {
	Block
	RoundWithin       Amount `key:"round_within" unit:"d" default:"3 d" doc:"removals of one engine this close are one round" source:"common practice, no source"`
	SpareTestAge      Amount `key:"spare_test_age" unit:"d" default:"90 d" doc:"age of the test at which a ready spare is tested again" source:"common practice, no source"`
	LateEntry         Amount `key:"late_entry" unit:"d" default:"14 d" doc:"days between the work and its entry" source:"from memory"`
	IntervalTolerance Amount `key:"interval_tolerance" unit:"%" default:"10 %" doc:"hours over the interval before it is a finding" source:"common practice, no source"`
	TestWithin        Amount `key:"test_within" unit:"bar" default:"5 bar" doc:"distance from the stated test pressures at which a test still counts as made between them" source:"from memory"`
	ReadingSpread     Amount `key:"reading_spread" unit:"bar" default:"10 bar" doc:"spread of the three readings" source:"common practice, no source"`
	FirstBelow        Amount `key:"first_below" unit:"%" default:"2 %" doc:"share by which the first opening pressure may be below all readings" source:"from memory"`
	ClosingLow        Amount `key:"closing_low" unit:"%" default:"55 %" doc:"least share of closing to opening pressure" source:"from memory"`
	ClosingHigh       Amount `key:"closing_high" unit:"%" default:"90 %" doc:"largest share of closing to opening pressure" source:"from memory"`
	DropUsed          Amount `key:"drop_used" unit:"%" default:"12 %" doc:"loss of opening pressure of a used valve that needs a cause" source:"common practice, no source"`
	DropNew           Amount `key:"drop_new" unit:"%" default:"18 %" doc:"the same after the first running of new parts" source:"from memory"`
	SetDeviations     Number `key:"set_deviations" default:"3" doc:"spreads of the ship's habit by which a growth must leave it" source:"from memory"`
	RecurringChance   Amount `key:"recurring_chance" unit:"%" default:"2 %" doc:"chance, allowing for all that was asked, up to which a recurring finding is named" source:"common practice, no source"`
	SetFloor          Amount `key:"set_floor" unit:"bar" default:"5 bar" doc:"least spread assumed for the ship's normal" source:"from memory"`
	SetLeast          Number `key:"set_least" default:"3" doc:"fewest valves of a round from which a shift is judged" source:"from memory"`
	SetBaseline       Number `key:"set_baseline" default:"6" doc:"fewest earlier valves that make the ship's normal" source:"from memory"`
	Alike             Number `key:"alike" default:"22" doc:"rarity-weighted likeness of two records, in bits, above which one looks copied" source:"from memory"`
	AlikeShare        Amount `key:"alike_share" unit:"%" default:"90 %" doc:"share of equal figures above which likeness counts" source:"from memory"`
	AtLimit           Number `key:"at_limit" default:"4" doc:"figures of one round exactly on a limit" source:"from memory"`
	LeakBetter        Amount `key:"leak_better" unit:"%" default:"20 %" doc:"gain of leak-down in service that is not believed" source:"from memory"`
	LeakLeftLeast     Amount `key:"leak_left_least" unit:"%" default:"60 %" doc:"leak-down as left as a share of that as found of the same nozzle, below which one of the two is doubted" source:"from memory"`
	LeakLeftMost      Amount `key:"leak_left_most" unit:"%" default:"270 %" doc:"the same, above which one of the two is doubted where the seat did not drop and nothing was lapped" source:"from memory"`
	LeakLost          Amount `key:"leak_lost" unit:"%" default:"30 %" doc:"as-found leak-down as a share of the last as left, below which the as left is doubted" source:"from memory"`
	LiftLess          Amount `key:"lift_less" unit:"mm" default:"0.02 mm" doc:"loss of lift without grinding" source:"from memory"`
	LiftMore          Amount `key:"lift_more" unit:"mm" default:"0.05 mm" doc:"growth of lift in one service life" source:"from memory"`
	WearLess          Amount `key:"wear_less" unit:"mm" default:"0.02 mm" doc:"loss of holder wear without grinding" source:"from memory"`
	SumWithin         Amount `key:"sum_within" unit:"mm" default:"0.01 mm" doc:"rounding allowed in a written effective lift" source:"common practice, no source"`
	RateLow           Amount `key:"rate_low" unit:"%" default:"30 %" doc:"running rate against the engine's habit, low" source:"from memory"`
	RateHigh          Amount `key:"rate_high" unit:"%" default:"160 %" doc:"running rate against the engine's habit, high" source:"from memory"`
	RateLeast         Amount `key:"rate_least" unit:"h" default:"0.1 h" doc:"hours a day that an engine in service runs at least" source:"from memory"`
	IntervalLeast     Amount `key:"interval_least" unit:"h" default:"24 h" doc:"shortest interval that is believed" source:"from memory"`
	IntervalMost      Amount `key:"interval_most" unit:"h" default:"50000 h" doc:"longest interval that is believed" source:"from memory"`
	HoursWithin       Amount `key:"hours_within" unit:"h" default:"24 h" doc:"difference between written and worked-out hours" source:"from memory"`
	CountersignWithin Amount `key:"countersign_within" unit:"d" default:"7 d" doc:"days until a countersignature is missed" source:"common practice, no source"`
	ProvisionalMost   Amount `key:"provisional_deferral" unit:"h" default:"72 h" doc:"longest deferral that the chief engineer may give alone, once for a part" source:"common practice, no source"`
	ActWithin         Amount `key:"act_within" unit:"h" default:"250 h" doc:"hours until a high exhaust deviation is missed" source:"from memory"`
	SignsWithin       Amount `key:"running_data_within" unit:"h" default:"72 h" doc:"hours after fitting until the cylinder's signs are missed" source:"common practice, no source"`
	SignsBefore       Amount `key:"running_data_before" unit:"d" default:"31 d" doc:"days before removal within which the cylinder's signs are those of the valve that comes out" source:"from memory"`
	StoredWithin      Amount `key:"stored_within" unit:"d" default:"31 d" doc:"days after its test within which a valve is stored as a ready spare, or fitted" source:"from memory"`
	PartOldest        Amount `key:"part_oldest" unit:"d" default:"7300 d" doc:"longest time before the book in which a part that is still listed is believed to have come" source:"from memory"`
	SealsMost         Amount `key:"seals_most" unit:"d" default:"5500 d" doc:"longest time that a seal is believed to be good" source:"ISO 2230 stores rubber for up to 15 years by its group, from memory"`
	CalibrationLeast  Amount `key:"calibration_least" unit:"d" default:"150 d" doc:"shortest time that a calibration is believed to hold" source:"from memory"`
	CalibrationMost   Amount `key:"calibration_most" unit:"d" default:"1850 d" doc:"longest time that a calibration is believed to hold" source:"from memory"`
	ExhaustMost       Amount `key:"exhaust_most" unit:"K" default:"60 K" doc:"exhaust temperature deviation of a cylinder that is believed" source:"from memory"`
	PmaxMost          Amount `key:"pmax_most" unit:"bar" default:"15 bar" doc:"pmax deviation of a cylinder that is believed" source:"from memory"`
	ErrorMost         Amount `key:"error_most" unit:"%" default:"10 %" doc:"most permissible error of an instrument that is believed, as a share" source:"from memory"`
	ErrorParts        Number `key:"error_parts" default:"4" doc:"most permissible error of an instrument that is believed, in divisions" source:"from memory"`
	LoadWithin        Amount `key:"load_within" unit:"%" default:"10 %" doc:"difference of load at which signs no longer compare" source:"from memory"`
	OilRange          Band   `key:"oil_range" unit:"°C" default:"15 to 30 °C" doc:"oil temperature at which times compare" source:"from memory"`
	PumpReading       Amount `key:"pump_reading" unit:"bar" default:"5 bar" doc:"how closely a gauge is read at a hand pump while the pointer moves, where its file does not state it" source:"common practice, no source"`
	GaugeDrift        Amount `key:"gauge_drift" unit:"%" default:"50 %" doc:"share of its permissible error by which an instrument may move between two days, where nothing shows it" source:"from memory"`
	GaugeLow          Amount `key:"gauge_low" unit:"%" default:"25 %" doc:"least share of a gauge's span for a good reading" source:"common practice, no source"`
	GaugeHigh         Amount `key:"gauge_high" unit:"%" default:"75 %" doc:"largest share of a gauge's span for a good reading" source:"common practice, no source"`
	PmaxLow           Amount `key:"pmax_low" unit:"bar" default:"3 bar" doc:"pmax deviation that counts as low or high" source:"from memory"`
	PcompLow          Amount `key:"pcomp_low" unit:"bar" default:"3 bar" doc:"pcomp deviation that counts as low" source:"from memory"`
	PhotoSize         Number `key:"photo_size" default:"2000000" doc:"largest picture, in bytes" source:"from memory"`
	Rings             Number `key:"rings" default:"1" doc:"sealing rings in the pocket under one valve" source:"common practice, no source"`
	NotBelieved       Amount `key:"not_believed" unit:"%" default:"300 %" doc:"a value above this share of its usual one, or as far below, is taken for a slip" source:"from memory"`
	NearUsual         Amount `key:"near_usual" unit:"%" default:"25 %" doc:"distance from the usual value at which another unit explains a slip" source:"from memory"`
	NearDay           Amount `key:"near_day" unit:"%" default:"10 %" doc:"distance of a cylinder's reference from that of the others on the day that is believed" source:"from memory"`
	UnlikeTimes       Number `key:"unlike_times" default:"1" doc:"distance of a figure from all others of its kind, as a multiple of their spread, above which it is asked about" source:"from memory"`
	UnlikeLeast       Amount `key:"unlike_least" unit:"%" default:"3 %" doc:"least distance of such a figure, as a share of the usual one" source:"from memory"`
	LoadMost          Amount `key:"load_most" unit:"%" default:"120 %" doc:"highest load that is believed" source:"ISO 3046-1 knows 110 % as overload; the rest is from memory"`
	AlSiMost          Number `key:"al_si_most" default:"60" doc:"aluminium and silicon of a fuel in mg/kg, above which it is asked about" source:"ISO 8217, from memory"`
	ViscosityMost     Number `key:"viscosity_most" default:"700" doc:"viscosity of a fuel at 50 °C in mm²/s, above which it is asked about" source:"ISO 8217, from memory"`
	BunkerWaits       Amount `key:"bunker_waits" unit:"d" default:"90 d" doc:"days that a bunker is believed to wait in its tank before it is used" source:"from memory"`
	RankOpen          Amount `key:"rank_open" unit:"d" default:"31 d" doc:"days that a ship may have no chief or second engineer in its crew list, or two" source:"common practice, no source"`
	StayShortest      Amount `key:"stay_shortest" unit:"d" default:"7 d" doc:"shortest stay that is believed" source:"from memory"`
	PeriodLongest     Amount `key:"period_longest" unit:"d" default:"365 d" doc:"longest stay of an engineer" source:"Maritime Labour Convention 2006, standard A2.5.1, from memory"`
	EarlyReject       Amount `key:"early_reject" unit:"%" default:"50 %" doc:"share of a nozzle's life below which a rejection is early" source:"from memory"`
	SameReadings      Number `key:"same_readings" default:"10" doc:"records in a row with three equal readings" source:"from memory"`
	SameChance        Amount `key:"same_chance" unit:"%" default:"1 %" doc:"chance of such a row, as often as others have three equal readings, up to which it is no chance" source:"from memory"`
	NormalOver        Number `key:"normal_over" default:"60" doc:"latest valves that make the ship's normal" source:"from memory"`
	LikeAge           Amount `key:"like_age" unit:"%" default:"50 %" doc:"difference of running hours up to which valves compare" source:"from memory"`
	CounterWithin     Amount `key:"counter_within" unit:"h" default:"2 h" doc:"doubt of a reading of the hour counter" source:"common practice, no source"`
	RateOver          Amount `key:"rate_over" unit:"d" default:"14 d" doc:"least days between two counter readings from which a running rate is judged" source:"from memory"`
	ReadingGap        Amount `key:"reading_gap" unit:"d" default:"60 d" doc:"days after a counter reading within which the next is believed, however often they are taken" source:"from memory"`
	OilApart          Amount `key:"oil_apart" unit:"K" default:"5 K" doc:"difference of oil temperature up to which leak-down times compare where the bench's oil is not known" source:"from memory"`
	OilThins          Amount `key:"oil_thins" unit:"%" default:"2 %" doc:"loss of viscosity of the test oil with each kelvin, where the bench's oil is not known" source:"calibration fluid of ISO 4113 near 20 °C, from memory"`
	CountersignMany   Number `key:"countersign_many" default:"10" doc:"records countersigned in a row, above which it is noted" source:"from memory"`
	CountersignSpan   Amount `key:"countersign_span" unit:"min" default:"10 min" doc:"time within which they count as in a row" source:"from memory"`
	ClockBack         Amount `key:"clock_back" unit:"h" default:"1 h" doc:"step back of the computer's clock between two commits" source:"from memory"`
	HandoverWithin    Amount `key:"handover_within" unit:"d" default:"3 d" doc:"days between a change of hands and its handover page" source:"common practice, no source"`
	StockMargin       Number `key:"stock_margin" default:"1.64" doc:"spreads by which nozzles on board must exceed what is expected until new ones come; 1.64 leaves one shortage in twenty" source:"normal distribution; the choice is from memory"`
	EvidenceLevel     Amount `key:"evidence_level" unit:"%" default:"95 %" doc:"confidence of bounds and bands in the review of the interval" source:"common practice, no source"`
	WearShape         Number `key:"weibull_shape" default:"3" doc:"Weibull shape assumed for wear where the ages teach none" source:"from memory"`
	AgesYoung         Number `key:"ages_young" default:"0.6" doc:"times the median age below which an opened valve is young" source:"from memory"`
	AgesOld           Number `key:"ages_old" default:"1.2" doc:"times the median age above which an opened valve is old" source:"from memory"`
	AgesShare         Amount `key:"ages_share" unit:"%" default:"20 %" doc:"share of opened valves that must be young, and old, before a shape is fitted" source:"from memory"`
	AgesBad           Number `key:"ages_bad" default:"5" doc:"fewest bad valves from which a shape is fitted" source:"from memory"`
	TrialStep         Amount `key:"trial_step" unit:"%" default:"10 %" doc:"longer interval that a trial may try at once" source:"common practice, no source"`
	FullAge           Amount `key:"full_age" unit:"%" default:"80 %" doc:"share of the interval from which an opening says something of the whole of it" source:"from memory"`
	ReviewOver        Amount `key:"review_over" unit:"d" default:"730 d" doc:"time that a review of the interval looks back over, where no day is named" source:"common practice, no source"`
	LowLoad           Amount `key:"low_load" unit:"%" default:"50 %" doc:"load below which running counts as low" source:"from memory"`
	OilBulk           Amount `key:"oil_bulk_modulus" unit:"bar" default:"14000 bar" doc:"how hard the test oil is to compress at 20 °C, free of air" source:"from memory"`
	OilSoftens        Amount `key:"oil_softens" unit:"%" default:"0.5 %" doc:"loss of that with each kelvin" source:"tables of hydraulic fluids, from memory"`
	OilViscosity40    Band   `key:"oil_viscosity_40" unit:"mm²/s" default:"2.45 to 2.75 mm²/s" doc:"viscosity at 40 °C of a test oil that no bench states" source:"calibration fluid of ISO 4113, from memory"`
	OilViscosity100   Band   `key:"oil_viscosity_100" unit:"mm²/s" default:"1.0 to 1.2 mm²/s" doc:"the same at 100 °C" source:"from memory"`
	OilDensity        Amount `key:"oil_density" unit:"kg/m³" default:"825 kg/m³" doc:"density at 15 °C of a test oil that no bench states" source:"from memory"`
	OilSlope          Amount `key:"oil_slope" unit:"%" default:"10 %" doc:"how far the change of a test oil's viscosity with temperature may be from its data sheet" source:"from memory"`
	Reaction          Amount `key:"reaction" unit:"s" default:"0.3 s" doc:"error of a time taken by hand, where no watch is named that states one" source:"from memory"`
	ThermometerError  Amount `key:"thermometer_error" unit:"K" default:"1 K" doc:"error of the oil temperature, where no thermometer is named that states one" source:"from memory"`
	BodyWithin        Amount `key:"body_within" unit:"K" default:"2 K" doc:"difference between the oil of the bench and the body of the valve" source:"from memory"`
	FastPumping       Amount `key:"fast_pumping" unit:"bar" default:"50 bar" doc:"pressure that may have been pumped up fast before a leak-down was timed" source:"from memory"`
	SecondHold        Amount `key:"second_hold" unit:"s" default:"15 s" doc:"leak-down below which one in doubt is timed a second time" source:"from memory"`
	MinutesMost       Number `key:"minutes_most" default:"600" doc:"longest work on one valve that is believed, in minutes" source:"from memory"`
	ToleranceMost     Amount `key:"tolerance_most" unit:"%" default:"20 %" doc:"largest tolerance of a torque that is believed" source:"from memory"`
	ToleranceLeast    Amount `key:"tolerance_least" unit:"%" default:"1 %" doc:"smallest tolerance of a torque that is believed" source:"ISO 6789 allows a wrench 4 %, from memory"`
	TorqueWithin      Amount `key:"torque_within" unit:"%" default:"10 %" doc:"torque tolerance where the limits file states none" source:"from memory"`
}
