#pragma once

#include <string>
#include <string_view>

#include "build/types.h"
#include "quantity/print.h"
#include "record/html.h"
#include "stations/catalogue.h"
#include "stations/report.h"

/// Parts of the record, each a section of its HTML.
namespace fettle::record {

std::string_view record_style();

/// "112.02 deg ± 0.34", and where the other system writes it otherwise that as well.
struct ValueText {
  std::string first;
  std::string second;  ///< empty where it would be the same
};
ValueText value_text(const stations::Finding& finding, quantity::System system);
/// "0.08 in or more (common practice: ...)"; empty where there is no limit.
std::string limit_text(const stations::Finding& finding, quantity::System system);
/// "holds", "fails", "too close", "open", or "no limit".
std::string_view verdict_text(const stations::Finding& finding);
/// "cylinder 2 intake"; empty for a finding of the whole engine.
std::string where_text(const stations::Where& where);
std::string title_of(const stations::Finding& finding, quantity::System system);

/// All findings of one station.
void write_findings(Html& html, const stations::Report& report, const stations::Station& station,
                    quantity::System system);
/// The readings of one station as they were typed.
void write_readings(Html& html, const build::Build& build, const stations::Station& station);
void write_tools(Html& html, const build::Build& build);
/// Which part went where and what was machined, where the build says so.
void write_fits(Html& html, const build::Build& build);
/// Pairings of a station's parts that would lie closer together than those in place, from and to.
void write_closer_fits(Html& html, const stations::Report& report, const stations::Station& station,
                       quantity::System system);

}  // namespace fettle::record
