package card

// cautions are what is said on every card, short enough to be read at the bench; the full list stands on the pages.
var cautions = []string{
	"The jet goes through skin. Even a pinprick is an emergency: stop, call radio medical advice, say “high-pressure " +
		"injection of oil”.",
	"Never feel for a leak; stand beside; spray only into the closed collector, no flame, eyes and hands covered.",
	"Pressure to zero before a nut is touched; spring tension off before the nut. Not beyond the bench's own limit; " +
		"test oil only.",
	"Engine locked out, fuel shut and drained, openings covered, tools and rings counted. Puller only, nobody " +
		"above the head.",
	"Hot-oil bath: dry parts, thermometer, well below the flash point, lid and extinguisher at hand. Never force a " +
		"needle; no hammer on hardened parts.",
	"Cracked or doubtful parts are destroyed or tagged. Shields go back before the start; nobody leans over the valve " +
		"then. Nobody works alone on pressurised fuel.",
}

const standing = "This card is a record and a helper, not an instruction. The makers' current manuals, the safety " +
	"management system and its permits, class, flag and the conventions come before it; " +
	"limits are the owner's copies and may be wrong or outdated: check the source named. Certificated engineers on " +
	"board decide."
