#pragma once

#include <string>
#include <vector>

#include "build/types.h"
#include "quantity/print.h"
#include "stations/report.h"

namespace fettle::record {

struct RecordOptions {
  std::string written_at;  ///< as it is to stand on the record: "2026-11-25 14:05 UTC"
  std::string shop;        ///< who hands the engine over; may be empty
  quantity::System system = quantity::System::inch;  ///< named first; the other stands beside it
};

/// The record that leaves with the engine: one self-contained page of HTML that prints to A4 and Letter. The
/// first sheet is for the customer: what holds, what does not, what was left open. Then station by station
/// all findings with their doubt, limits and where these come from, the readings as they were typed, what
/// looked wrong, cautions; the tools; what was assumed; the build itself, so that the record can be read by
/// the program again, with a digest of it on the first sheet. Not sealed yet (seal.h). A pure function.
std::string record_html(const build::Build& build, const stations::Report& report,
                        const RecordOptions& options);

/// The build within a record, as text; empty where there is none.
std::string build_within(std::string_view record);

}  // namespace fettle::record
