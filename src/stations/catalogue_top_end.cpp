// What is said at the stations of the top end.

#include "stations/catalogue_text.h"

namespace fettle::stations {

using build::ReadingKind;

Station springs_text() {
  return {"spring",
          "Springs",
          "Whether each spring sits and opens with the load it should, keeps clear of coil bind and of the "
          "seal, and "
          "which shims bring the whole set together.",
          {
              "Measure the height left for each spring with its own retainer, locks and seat cup in place: "
              "from the "
              "spring's seat to the face of the retainer that the spring touches. A height micrometer, or a "
              "rule and a "
              "light checking spring.",
              "Note which shims were in place. None is the usual way to begin.",
              "On the tester take each spring's load at its installed height and again at the open height. "
              "Compress it "
              "once to near coil bind first, and go from tall to short.",
              "Read the height at which the coils touch on one spring of each kind, or take it off the "
              "maker's sheet.",
              "With the seal on, measure from its top to the underside of the retainer or the locks, valve "
              "closed.",
              "Nested springs are read as a set, with the retainer that holds them.",
          },
          {
              "A compressed spring is loaded like a trap. Keep face and fingers out of the line of the "
              "retainer, and "
              "wear glasses.",
              "See that both locks have seated before the compressor comes off, and tap the stem with a soft "
              "hammer from "
              "the side.",
              makers_sheet,
          },
          {ReadingKind::installed_height, ReadingKind::spring_load, ReadingKind::solid_height,
           ReadingKind::retainer_gap},
          {"spring.seat_load", "spring.coil_bind_margin"}};
}

Station rockers_text() {
  return {
      "rocker",
      "Rockers and pushrods",
      "Whether the rocker runs across the middle of the valve's tip, lifts as it should, and leaves the "
      "plunger its travel.",
      {
          "Blacken the valve's tip, fit the rocker with the lash just taken up, and turn the crank two "
          "full turns by hand. Checking springs will do.",
          "Take the rocker off. Measure how wide the bright mark is, and how far its middle lies from the "
          "middle of the tip: away from the pivot counts positive. Say which pushrod was in.",
          "Narrow comes first, central second: a wide mark in the middle still means the wrong pushrod.",
          "For the ratio read the greatest lift at the lifter and again at the valve, with the indicator in "
          "line with each.",
          "For the preload set the lifter on its base circle, find zero lash by moving the pushrod up and "
          "down rather than by spinning it, and count the turns from there; or measure how far the plunger "
          "stands below its clip.",
          "Measure the rocker's geometry once, and Fettle reckons sweep and pushrod length from it.",
      },
      {
          "A compressed spring is loaded like a trap. Keep face and fingers out of the line of retainer "
          "and rocker, and wear glasses.",
          "Keep fingers clear of rockers, pushrods and chain while somebody turns. Turn by hand, plugs "
          "out.",
          "After preload is set, wait for the plungers to bleed down before you turn: a valve held open can "
          "meet the piston.",
          "Follow the maker's sheet and local codes. These figures do not replace them.",
      },
      {ReadingKind::tip_mark, ReadingKind::preload_turns, ReadingKind::plunger_depth, ReadingKind::lobe_top,
       ReadingKind::lobe_sweep},
      {"rocker.mark_offset", "rocker.mark_width", "rocker.preload", "rocker.ratio"}};
}

Station valve_train_text() {
  return {
      "valve_train",
      "Valve train at speed",
      "Whether lobe, lifter, pushrod, rocker and valve stay together up to the redline, what the springs "
      "must "
      "carry for it, and what runs away first.",
      {
          "Weigh one of each: the valve, its retainer with both locks, its springs, the rocker, the pushrod "
          "and "
          "the lifter. A kitchen scale to a gram will do, a letter scale is better.",
          "Read the springs first: installed heights, and loads at two heights. The weakest of each kind is "
          "looked at.",
          "Sweep a lobe in small steps. How hard the nose turns the valve round is what counts, and a card "
          "tells "
          "it less well than a sweep.",
          "Say the redline. Where a maker tells the inertia of the rocker at its tip, or how stiff rocker "
          "and "
          "stand are, type it: they are assumed otherwise.",
          "It is a prediction. Leave room: gas on the valve, friction and a shaking camshaft are not in it.",
      },
      {
          "Springs that hold the train at speed are strong: a compressed spring is loaded like a trap. Keep "
          "face "
          "and fingers out of the line of the retainer, and wear glasses.",
          "New flat tappets are run in on light springs. Do not fit those of the redline for the first "
          "start.",
          makers_sheet,
      },
      {ReadingKind::part_weight, ReadingKind::spring_load, ReadingKind::installed_height},
      {"valve_train.separation_margin", "valve_train.seat_load_spare", "valve_train.pushrod_margin"}};
}

Station piston_valve_text() {
  return {
      "piston_valve",
      "Valve to piston",
      "How near each valve comes to its piston over the whole cycle, and how far the cam can still be moved.",
      {
          "Find true TDC and read the lobes first: the clearance is worked out from the drop of the valve "
          "and how the "
          "valve moves.",
          "Put light springs on. Stand the indicator in line with the stem, on the retainer, and nought it "
          "with the "
          "valve on its seat.",
          "With the piston at TDC on overlap press the valve down until it touches the piston. That is its "
          "drop.",
          "Better: take the drop at 10 and 20 degrees before and after TDC as well, and enter what the wheel "
          "shows. The "
          "two come closest there, not at full lift.",
          "Or press clay: oil the valve, lay clay in the notch, fit head, gasket and solid lifters, set the "
          "lash, turn "
          "twice by hand, and measure the thinnest place.",
          "Say which gasket was in place, crushed. A head that stands on an uncrushed gasket reads too much.",
          "Read every cylinder, not one: decks, notches and seats differ.",
      },
      {
          "Turn by hand with the plugs out, and slowly. If it goes tight, stop: do not force a valve against "
          "a piston.",
          "Keep fingers out from between valve, spring and rocker while somebody turns.",
          "Take all clay out again before the head goes on for good.",
          makers_sheet,
      },
      {ReadingKind::valve_drop, ReadingKind::clay, ReadingKind::notch_gap},
      {"piston_valve.clearance", "piston_valve.cam_room"}};
}

Station lash_text() {
  return {
      "lash",
      "Setting the valves",
      "At which crank positions which valves stand on their base circles, with how many degrees to spare, "
      "and the "
      "lash that was left.",
      {
          "Set a valve only with its lifter on the base circle. The card below is worked out from the lobes "
          "as read, "
          "or from the cam's card.",
          "Two positions serve a short cam; a long one needs more, and the card says so. One valve at a time "
          "always "
          "works: the intake when its own exhaust starts to open, the exhaust when its own intake is nearly "
          "closed.",
          "Solid lifters: slide the gauge in, set it so that it drags, tighten the lock, and measure again.",
          "Shims under or on buckets: read every lash first, then take the cams off and measure every shim "
          "with "
          "a micrometer. Only then change any: most valves are served by shims that are already in the "
          "engine.",
          "Say which cylinder stood at its firing TDC, and Fettle sees whether the lobe was on its base "
          "circle.",
          "Hydraulic lifters: turn the adjuster down until the pushrod has no play, then the turns of "
          "preload.",
          "Say whether the engine was cold or hot. Iron blocks with aluminium heads open their gaps as they "
          "warm.",
      },
      {
          "Turn the crank by hand with the plugs out. Keep fingers out of rockers and springs while somebody "
          "turns.",
          "A hot engine burns: gloves, and no loose sleeves near pulleys and fans.",
          makers_sheet,
      },
      {ReadingKind::valve_lash, ReadingKind::bucket_shim},
      {"lash.gap"}};
}

Station followers_text() {
  return {
      "follower",
      "Lobes and followers",
      "Whether what runs on each lobe suits it: a face wide enough for the contact, a nose not too sharp, a "
      "roller that is not pushed too far aside.",
      {
          "Sweep one lobe of each kind, with its base circle, as for cam timing.",
          "Measure the base circle across the lobe, its width, and the flat face of the tappet or bucket, "
          "bevel left out; or the roller.",
          "A face that is too small lets the lobe run off its edge: both are scored within minutes.",
          "Look at the old followers: a track that reaches the edge says the same.",
          "The pressure is that of the springs with the engine hardly turning: that is when flat tappets are "
          "lost. Light springs for the first half hour lessen it.",
      },
      {
          "Keep fingers clear of lobes, chain and gears while somebody turns. Turn by hand, plugs out.",
          makers_sheet,
      },
      {ReadingKind::lobe_sweep},
      {"follower.face_margin", "follower.cam_radius"}};
}

}  // namespace fettle::stations
