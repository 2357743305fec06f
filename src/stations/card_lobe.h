#pragma once

#include <memory>

#include "build/types.h"
#include "mechanism/lobe_card.h"
#include "stations/memory.h"

namespace fettle::stations {

/// The lobe that the card describes, smooth between the card's events; nothing where the card gives no lift
/// or no duration, or no lobe can have it. On the card's basis, signed crank radians from overlap TDC.
std::shared_ptr<const mechanism::SynthesisedLobe> card_lobe(const build::Build& build, build::Valve valve,
                                                            Memory& memory);

/// A usual lobe, centred where the card's (or a usual) centreline is: a stand-in where there is no card to go
/// by.
std::shared_ptr<const mechanism::SynthesisedLobe> usual_lobe(double centre, Memory& memory);

}  // namespace fettle::stations
