// What is said at the stations of the short block.

#include "stations/catalogue_text.h"

namespace fettle::stations {

using build::ReadingKind;

Station bores_text() {
  return {
      "bore",
      "Bores, pistons and rings",
      "Whether each piston has its room in its bore, whether the bores are straight and round, whether the "
      "rings have their gaps, and which piston belongs in which bore.",
      {
          "Leave block, pistons and tools in one room until they are equally warm. If they are not, enter "
          "their temperatures.",
          "Where the maker asks for a torque plate, bolt it on before the bores are read.",
          "Measure a piston at its maker's gauge point, set the micrometer to the bore's size, and set the "
          "bore gauge to nought on that micrometer. Say in the gauge's entry on which tool it was set.",
          "Read each bore at three depths: below the ring's turning point, in the middle, and above the "
          "skirt's lowest place; at each depth square to the pin (0 degrees) and along it (90).",
          "Rock the gauge and take the least it shows. Set it anew before the next bore.",
          "Number the pistons and read each once more after the last one: a micrometer creeps in a warm "
          "hand.",
          "Push each ring square into its own bore with a piston turned over, and feel its gap.",
      },
      {
          "Rings are brittle and their edges cut. Spread them no more than a ring tool does.",
          "Wash a honed bore with soap and water until a white cloth stays white: grit left in it wears "
          "rings and bearings in an hour.",
          "Honing takes off and does not put back. Take less than is wanted, let the bore cool, and read "
          "again.",
          makers_sheet,
      },
      {ReadingKind::bore_diameter, ReadingKind::piston_diameter, ReadingKind::ring_gap,
       ReadingKind::ring_side},
      {"bore.piston_clearance", "bore.top_gap"}};
}

Station bottom_end_text() {
  return {
      "bottom_end",
      "Crank and bearings",
      "Whether every main and rod bearing has its oil clearance, whether the journals are straight and "
      "round, "
      "and which shells bring the clearances together.",
      {
          "Wipe housings, backs of the shells and journals dry. A hair behind a shell is a thousandth.",
          "Read each journal with the micrometer near both ends, in two directions square to each other.",
          "Torque the cap with its shells in and read the bore in the vertical (0 degrees), and 60 degrees "
          "to "
          "both sides of it; never across the parting line, where shells are thinned.",
          "Set the bore gauge on the micrometer that reads the journal: then the micrometer's own error "
          "falls out of the clearance. Say in the gauge's entry on which tool it was set.",
          "As a check read the housing without shells and the shells' walls at their crowns. Housing less "
          "two walls less journal must come to the same.",
          "A strip crushed between journal and shell is a second opinion, on dry parts and without turning "
          "the crank.",
          "With the crank in, lever it to and fro against an indicator for the end play, and feel the rods' "
          "side clearance. Two rods on one crankpin are felt as a pair and entered for one of them.",
      },
      {
          "Caps belong to their places and their way round: number them before they come off.",
          "Cover rod bolts before a rod goes past a journal. A nick in the journal scrapes its shell.",
          "Torque by the maker's sheet and in its steps, with the lubricant it names.",
          "A crank is heavy and its counterweights swing: two people lift it, and fingers stay out of the "
          "housings.",
          makers_sheet,
      },
      {ReadingKind::journal_diameter, ReadingKind::bearing_bore, ReadingKind::housing_bore,
       ReadingKind::shell_wall, ReadingKind::film_strip, ReadingKind::end_play, ReadingKind::rod_side},
      {"bottom_end.main_clearance", "bottom_end.rod_clearance"}};
}

}  // namespace fettle::stations
