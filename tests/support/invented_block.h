#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stations/report.h"
#include "support/invented_shop.h"

/// The short block of an invented shop's engine, its volumes, bolts and weights: what is true of each, and
/// readings of them with the errors of the tools named in the build (draws.h). One seed beside the shop's
/// draws it all. The plan must have a block.
///
/// The truth about a plan (all uniform): journals ± 0.0002 in, clearances ± 0.0003 in, bores ± 0.0003 in with
/// a taper of 0.0002 in, ring gaps ± 0.001 in, decks ± 0.002 in, chambers ± 0.4 cc, dishes ± 0.2 cc, weights
/// ± 0.6 g, stretch ± 0.0002 in, cranking pressures ± 3 psi.
namespace fettle::invented {

class Block {
 public:
  Block(Shop& shop, std::uint64_t seed);

  /// Bearings, bores, crowns, deck, chamber, bolts, what is weighed, and the tools.
  void add_parts(build::Build& build) const;

  /// Each adds readings to a build.
  void read_bores(build::Build& build);
  void read_bearings(build::Build& build);
  void read_volumes(build::Build& build);
  void read_bolts(build::Build& build);
  void read_weights(build::Build& build);
  void read_cranking(build::Build& build);

  /// What is true of a finding of one cylinder or main bearing; nothing of those it does not know.
  std::optional<double> truth(const stations::Finding& finding) const;

 private:
  struct Cylinder {
    double bore = 0, piston = 0, top_gap = 0, second_gap = 0, ring_side = 0;
    double rod_journal = 0, rod_bore = 0;
    double deck = 0, chamber = 0, dish = 0, pressure = 0;
    std::map<build::WeighedItem, double> weights;
  };
  struct Main {
    double journal = 0, bore = 0;
  };
  build::Reading of(build::ReadingKind kind);
  build::Length shown(const char* tool, double truth, int decimals_in = 4);
  void add_diameter(build::Build& build, build::Reading reading, const char* gauge, double diameter,
                    double along_in, double around_deg);
  void add_gap(build::Build& build, build::Reading reading, double gap);
  void add_volume(build::Build& build, build::ReadingKind kind, int cylinder, double volume);

  Shop& shop_;
  BlockPlan plan_;
  Draws draws_;
  std::map<std::string, build::Tool> kit_;
  std::map<std::string, ShownBy> tools_;
  std::vector<Cylinder> cylinders_;
  std::vector<Main> mains_;
  std::vector<double> stretches_;
};

}  // namespace fettle::invented
