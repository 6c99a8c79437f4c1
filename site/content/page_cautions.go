package content

import (
	"needlebook/site/address"
	"needlebook/site/page"
)

// What every printed page says of its own standing, and what is said before work on a valve.

const yieldShort = "This logbook is a record and a helper, not an instruction. The makers' current manuals, the " +
	"company's safety management system, class, flag and the conventions come before it; " +
	"limits are the owner's copies and may be wrong or outdated: check the source named beside them. Certificated " +
	"engineers on board decide, and may overrule any verdict."

const yieldFull = "This logbook is a record and a helper. It is not an instruction. Before and above it come, in " +
	"this order of specialised authority: the engine and fuel-equipment makers' current manuals and service letters; " +
	"the company's safety management system, permits and risk assessments; the rules of the ship's classification " +
	"society and of her flag, and the applicable international conventions. Limits shown here are copied by the owner " +
	"from those documents and may be wrong or outdated; check the source named beside them. Work on fuel injection " +
	"equipment, decisions on reuse, and release to service belong to properly certificated engineers on board, " +
	"who may overrule any verdict of this program and need not justify that to it. Local and port-state rules apply as " +
	"well. Verdicts are aids computed from typed numbers. The demo vessel, its limits and its people are invented. " +
	"This program is not an approved electronic record book under any convention and does not replace the engine's " +
	"technical file, the record book of engine parameters, the engine log or class records."

// cautions are the cautions before work on a fuel valve, in the order of the work.
var cautions = []string{
	"The test jet cuts skin and enters flesh. A wound like a pinprick that hardly hurts is an emergency: surgery " +
		"within hours decides about the finger. Stop work, call radio medical advice, say “high-pressure injection of " +
		"oil”, keep the hand up, do not wait for swelling.",
	"Never feel for a leak with a hand. Use card or a shielded lamp. Stand beside, not in front.",
	"Spray only into a closed, ventilated collector. No hands, no face, no flame, no hot lamp. Oil mist burns and " +
		"harms lungs.",
	"Eye protection and oil-resistant gloves always; gloves do not stop a jet.",
	"Rated hoses, fittings and gauge only; do not exceed the bench's own limit; relieve pressure to zero before " +
		"touching a nut.",
	"Test oil is not fuel from the engine line, and never heated residual fuel.",
	"Lock out: engine stopped and on turning gear, starting air shut and drained, fuel shut both sides, tags hung, " +
		"indicator cocks open.",
	"Hot oil stays in pipes and rails after shut-off, trace heating included. Wait, drain, open slowly, never plug a " +
		"bore with a rag.",
	"Cover every opening at once; count tools and rings in and out.",
	"A fuel valve leaves its pocket suddenly. Puller only, nobody above the head, no side blows.",
	"Springs are preloaded. Unload before the nut.",
	"Weight and trip hazards: carry one valve per person, tip protected.",
	"Solvents: gloves, ventilation, data sheet; no petrol. Keep naked lights away. Ultrasonic baths splash.",
	"Compressed air: away from skin and from others; low pressure.",
	"Cracked, burnt or doubtful parts are destroyed or tagged so that nobody can fit them again.",
	"Torque in the manual's order and steps, with a checked wrench and the right lubricant.",
	"Shields, jackets, lagging and drip pans go back before the start, not after.",
	"Leak check: cold, warm, loaded; nobody leans over the valve during first start.",
	"Oil-soaked clothes and rags are fire: change and bin them.",
	"Rest hours count. A tired fitter is the cause nobody writes down.",
	"Lone work on pressurised fuel is not allowed; the control room knows who is at the bench.",
	"A hot-oil bath for a stuck needle burns and ignites: dry parts only, thermometer in the oil, well below its flash " +
		"point, no open flame, never unattended, lid and extinguisher at hand, tongs, face shield; let it cool before " +
		"handling. Never force a needle.",
	"A nozzle stuck in its nut: needle out first if it will come, soft support, a tube on the shoulder, never on the " +
		"tip; eye protection, no hammer on hardened parts.",
}

// cautionList are the cautions one under another.
func cautionList(style page.Style) page.Block {
	l := page.List{Style: style, Ordered: true}
	for _, c := range cautions {
		l.Items = append(l.Items, page.Item{Text: page.Words(c)})
	}
	return l
}

// cautionsPage are the cautions and the standing of the book, in full.
func (w *Writer) cautionsPage() *page.Page {
	p := &page.Page{Name: address.Cautions, Title: "cautions", Kind: "plain", Way: here("cautions"),
		Head: "Before work on a fuel valve"}
	p.Add(lead(page.Words("Cautions of the trade, in the order of the work. The maker's manual and the permit to work "+
		"come first.")),
		cautionList(page.Cautions), page.Title{Text: page.Words("What this book is, and is not")}, said(yieldFull))
	return p
}
