// What is said at the stations of volumes, deck, fasteners and balance.

#include "stations/catalogue_text.h"

namespace fettle::stations {

using build::ReadingKind;

Station fasteners_text() {
  return {
      "fastener",
      "Fasteners",
      "Whether every bolt and stud holds as hard as it should and none was drawn past its yield.",
      {
          "Write down what the bolts are: thread, lengths of shank and thread under tension, grade or "
          "strengths, "
          "lubricant.",
          "Number them. Measure each one's free length with a stretch gauge, its points in the dimples, and "
          "nought the gauge by the same bolt each time.",
          "Clean threads and faces, lubricate them as the sheet says and all alike, and tighten in steps.",
          "Measure each one tight, and enter the torque at which it stood. The stretch tells the preload; "
          "the "
          "torque tells the friction, into which four fifths of it go.",
          "Where the far end cannot be reached, enter the torque, or the angle past snug.",
          "Whenever one comes out again measure its free length: one that has grown is scrap.",
      },
      {
          "A torque figure for dry threads on oiled ones draws a fifth to a third more: bolts yield.",
          "A bolt past its yield breaks later, running. Scrap it; do not use it once more.",
          "Stretch gauge and fingers off before the wrench moves.",
          makers_sheet,
      },
      {ReadingKind::bolt_length, ReadingKind::bolt_torque, ReadingKind::bolt_turn},
      {"fastener.stretch", "fastener.preload"}};
}

Station balance_text() {
  return {
      "balance",
      "Balance",
      "Whether the moving parts weigh alike, which bobweight the crank is balanced with, and what shakes "
      "then.",
      {
          "Weigh each piston, pin, set of rings and pair of locks by itself, and note its cylinder.",
          "Weigh each rod three times: the big end with the small end hung level and free, the small end "
          "with "
          "the big end hung, and the whole rod. The two ends must make up the whole.",
          "Weigh both shells of a rod's bearing; one pair will do for all.",
          "A weight without a cylinder counts for all of them.",
          "While pistons and rods are still loose, weigh them by the number marked on each instead: what "
          "goes "
          "with what, so that all lie closest together, is offered then, and what to take off which.",
          "Say in the parts which cylinders stand in which bank, and for a single-pin twin the balance "
          "factor and "
          "what it is a part of.",
      },
      {
          "Take weight off where the maker allows it: never from a rod's beam, its bolts or a piston's pin "
          "boss.",
          "Forces are predictions for rigid parts at the stated speed.",
          makers_sheet,
      },
      {ReadingKind::part_weight},
      {"balance.bobweight", "balance.primary_force"}};
}

Station deck_text() {
  return {
      "deck",
      "Deck",
      "How far each piston stands below the deck, whether the parts explain it, and whether the deck is "
      "square to "
      "the crank.",
      {
          "Bring the piston to TDC: the place at which the indicator turns round.",
          "Stand the indicator on a bridge over the deck, noughted on the deck itself.",
          "Read over the pin, at the front and the rear of the crown's flat. There the piston cannot rock.",
          "For the squareness across the bank read also at the inboard and outboard edges; the piston rocks "
          "there "
          "by some thousandths, which the doubt holds.",
          "Below the deck counts positive, above it negative. Read all cylinders.",
          "Type block height, compression height and banks among the parts, and Fettle compares.",
      },
      {
          "Turn the crank by hand. Keep fingers out of the bores.",
          "A cut deck does not grow back: look at everything that the change moves first.",
          makers_sheet,
      },
      {ReadingKind::deck_clearance},
      {"deck.clearance", "deck.error"}};
}

Station compression_text() {
  return {
      "compression",
      "Compression and fuel",
      "What ratio each cylinder really has, static and from the intake's closing, how tight the quench is, "
      "and what "
      "a gauge should show.",
      {
          "Chamber: valves and plug in, seats greased, a clear plate over it with a small hole. Pour from a "
          "burette "
          "until no air is left; three fills that agree within half a cc.",
          "Crown: pour the dish and notches level with the flat; or bring the piston a stated depth below "
          "the deck, "
          "seal the land with grease, and pour the cylinder full. Enter the volume as poured.",
          "Deck clearance is read at its own station. Measure gasket and opening on one that was crushed.",
          "The intake's closing comes from Cam timing: read it at 0.006 in. At 0.050 in it flatters.",
          "Type barometer or altitude, or the pressure is that of the sea's level.",
          "With a running engine read the compression gauge: warm, throttle open, all plugs out, the same "
          "number of "
          "turns for each.",
      },
      {
          "Fuel and first start: the plugs out, no spark, no fuel while the starter turns.",
          "Ratios that the fuel will not stand break pistons. The limits are common practice for pump fuel; "
          "they "
          "know nothing of your fuel and spark.",
          "Spirits for the burette burn: no flame, and air.",
          makers_sheet,
      },
      {ReadingKind::chamber_fill, ReadingKind::dish_fill, ReadingKind::piston_fill, ReadingKind::gasket_crush,
       ReadingKind::gasket_bore, ReadingKind::compression_gauge},
      {"compression.static_ratio", "compression.effective_ratio"}};
}

}  // namespace fettle::stations
