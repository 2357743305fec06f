// Any bytes are a build or a list of problems, each with its place; a build that was read is written back and
// read again as the same, and can be proved without a number that is not one.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "build/codec.h"
#include "stations/prove.h"

namespace {

void require(bool holds) {
  if (!holds) {
    std::abort();
  }
}

void check_report(const fettle::build::Build& build) {
  for (const auto& finding : fettle::stations::prove(build).findings) {
    require(!finding.value || std::isfinite(*finding.value));
    require(std::isfinite(finding.u) && std::isfinite(finding.expanded));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto read = fettle::build::read_build(text);
  require(read.build.has_value() == read.problems.empty());
  for (const auto& problem : read.problems) {
    require(!problem.place.empty() && !problem.message().empty());
  }
  if (read.build) {
    const auto written = fettle::build::write_build(*read.build);
    const auto again = fettle::build::read_build(std::string_view(written.dump()));
    require(again.build.has_value());
    require(fettle::build::write_build(*again.build) == written);
    check_report(*read.build);
  }
  return 0;
}
