#pragma once

#include <span>
#include <string_view>
#include <utility>

#include "build/types.h"

namespace fettle::build {

/// The word each value of an enumeration has in the document; one table serves reading, writing and schema.
template <class E>
struct Named {
  E value;
  std::string_view word;
  std::string_view meaning;
};

std::span<const Named<Rotation>> names(Rotation);
std::span<const Named<Practice>> names(Practice);
std::span<const Named<Follower>> names(Follower);
std::span<const Named<LiftBasis>> names(LiftBasis);
std::span<const Named<MarkedIn>> names(MarkedIn);
std::span<const Named<LifterKind>> names(LifterKind);
std::span<const Named<AdjusterKind>> names(AdjusterKind);
std::span<const Named<TipKind>> names(TipKind);
std::span<const Named<WireMaterial>> names(WireMaterial);
std::span<const Named<SpringEnds>> names(SpringEnds);
std::span<const Named<RodMaterial>> names(RodMaterial);
std::span<const Named<Warmth>> names(Warmth);
std::span<const Named<IntakeKind>> names(IntakeKind);
std::span<const Named<FuelKind>> names(FuelKind);
std::span<const Named<SpringsFitted>> names(SpringsFitted);
std::span<const Named<ToolKind>> names(ToolKind);
std::span<const Named<Turning>> names(Turning);
std::span<const Named<Valve>> names(Valve);
std::span<const Named<Side>> names(Side);
std::span<const Named<MeasuredAt>> names(MeasuredAt);
std::span<const Named<ReadingKind>> names(ReadingKind);
std::span<const Named<Ring>> names(Ring);
std::span<const Named<ShellHalf>> names(ShellHalf);
std::span<const Named<WallMaterial>> names(WallMaterial);

std::span<const Named<FastenerUse>> names(FastenerUse);
std::span<const Named<ThreadKind>> names(ThreadKind);
std::span<const Named<Finish>> names(Finish);
std::span<const Named<WeighedItem>> names(WeighedItem);
std::span<const Named<FactorOf>> names(FactorOf);
std::span<const Named<PistonPlace>> names(PistonPlace);
std::span<const Named<BoltStage>> names(BoltStage);

/// The document's word for a value.
template <class E>
std::string_view word(E value) {
  for (const auto& named : names(E{})) {
    if (named.value == value) {
      return named.word;
    }
  }
  return {};
}

}  // namespace fettle::build
