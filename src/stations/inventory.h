#pragma once

#include <compare>
#include <map>
#include <string>
#include <vector>

#include "build/types.h"

/// Which readings of a build serve which purpose. Readings are named by their place in build.readings.
namespace fettle::stations {

/// The contacts of one stop in one pass.
struct StopGroup {
  int cylinder = 1;
  std::string wheel;  ///< name of the wheel, empty where none was named
  std::string stop;
  int pass = 1;
  std::vector<int> forward;
  std::vector<int> backward;
};

/// Indicator drops of one cylinder in one pass.
struct DropGroup {
  int cylinder = 1;
  std::string wheel;
  int pass = 1;
  std::vector<int> readings;
};

struct LobeKey {
  int cylinder = 1;
  build::Valve valve = build::Valve::intake;
  auto operator<=>(const LobeKey&) const = default;
};

/// The readings of one lobe with the timing set in one position.
struct LobeReadings {
  std::vector<int> sweeps;           ///< taken turning forward
  std::vector<int> backward_sweeps;  ///< they tell the slack, not the lobe
  std::vector<int> points;           ///< forward
  std::vector<int> backward_points;
  std::vector<int> tops;

  bool empty() const { return sweeps.empty() && points.empty() && tops.empty(); }
};

/// Where a reading of the short block belongs: to the engine as a whole, a main bearing counted from the
/// front, a cylinder (its bore, or its rod), or a piston by its mark.
enum class SpotKind { engine, main, cylinder, piston };
struct Spot {
  SpotKind kind = SpotKind::engine;
  int number = 0;  ///< 0 for the engine
  auto operator<=>(const Spot&) const = default;
};
using SpotReadings = std::map<Spot, std::vector<int>>;

/// Readings of one kind at one valve, in the order taken.
using ValveReadings = std::map<LobeKey, std::vector<int>>;

struct Inventory {
  std::vector<StopGroup> stops;
  std::vector<DropGroup> drops;
  std::vector<int> tdc_sweeps;
  std::map<LobeKey, LobeReadings> lobes;  ///< with the timing set as it is fitted now
  std::map<double, std::map<LobeKey, LobeReadings>> earlier_lobes;  ///< by position, rad of the set's marks
  std::vector<int> slack;
  std::map<build::ReadingKind, ValveReadings>
      at_valves;  ///< all that are taken at a valve without a wheel, and drops

  std::map<build::ReadingKind, std::vector<int>> of_parts;  ///< taken at no valve and without a wheel

  /// Readings of that kind taken at no valve; empty where there are none.
  const std::vector<int>& of(build::ReadingKind kind) const;

  std::map<build::ReadingKind, SpotReadings> at_spots;  ///< those of the short block

  /// Readings of that kind at that spot; empty where there are none.
  const std::vector<int>& at_spot(build::ReadingKind kind, const Spot& spot) const;
  /// Readings of that kind at that valve; empty where there are none.
  const std::vector<int>& at(build::ReadingKind kind, const LobeKey& key) const;
};

Inventory take_inventory(const build::Build& build);

/// Where a reading of the short block belongs.
Spot spot_of(const build::Reading& reading);

/// Pass of a reading: 1 unless it says otherwise.
int pass_of(const build::Reading& reading);

}  // namespace fettle::stations
