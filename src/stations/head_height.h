#pragma once

#include <string>
#include <vector>

#include "stations/change.h"
#include "stations/observed.h"

/// How high the head stands above the pistons: gasket, milling and decking, and the readings that were taken
/// before one of them was changed.
namespace fettle::stations {

/// By how much the head stands higher over the crank than while a reading was taken, m: gasket thicker, less
/// what was milled off the head and cut off the deck since. Readings that do not say what was in place were
/// taken with what the build as it stands has.
double head_higher(const Observed& observed, const build::Reading& reading);
/// The same since the rocker's dimensions were measured.
double head_higher(const Observed& observed, const build::RockerDimensions& rocker);

/// Taken off the head's face, cut off the deck and out of each crown in all (m, m, m³); 0 where not said.
double milled(const build::Build& build);
double deck_cut(const build::Build& build);
double deepened(const build::Build& build);

/// Operations that write what a part was until now into the readings, and into the measured rockers, that may
/// carry `field` and do not:
/// before another one is fitted, or more is taken off.
std::vector<Operation> keep_field(const build::Build& build, std::string_view field,
                                  const std::string& value);

/// The same for the gasket fitted, what is milled off, cut off and taken out of the crowns.
std::vector<Operation> keep_gasket(const build::Build& build);
std::vector<Operation> keep_milled(const build::Build& build);
std::vector<Operation> keep_cut(const build::Build& build);
std::vector<Operation> keep_deepened(const build::Build& build);

/// Sets a member of a part, or the part with that member alone where the build has none of it yet.
Operation set_member(bool has_part, const std::string& part, const std::string& member,
                     const std::string& value);

/// A length in the unit that the build's bore was typed in, to a thousandth of an inch or a hundredth of a
/// millimetre, and that length itself, m.
std::string shop_length(const build::Build& build, double length);
double as_written(const build::Build& build, double length);

/// Another gasket of the build's list in place of the one fitted, one change each.
std::vector<Change> gasket_changes(const build::Build& build, const std::string& id);

}  // namespace fettle::stations
