#include "cli/counsel_command.h"

#include <iterator>
#include <map>
#include <ostream>

#include <fmt/format.h>

#include "cli/problems.h"
#include "cli/table.h"
#include "counsel/counsel.h"
#include "counsel/counsel_json.h"

namespace fettle::cli {
namespace {

using counsel::Counsel;
using stations::Effect;
using stations::Finding;

constexpr std::size_t columns = 80;
/// Lines of one kind that are printed before the rest are counted.
constexpr std::size_t most_lines = 6;

std::string line(const std::string& text, std::size_t indent) {
  return std::string(indent, ' ') + wrapped(text, columns - indent, indent + 2) + "\n";
}

std::string standing(const Finding& finding, const TableOptions& options) {
  return fmt::format("{} {}", finding_value(finding, options),
                     finding.verdict ? std::string(metrology::name(*finding.verdict)) : "without a limit");
}

std::string movement(const Effect& effect, const TableOptions& options) {
  return fmt::format("{}: {} -> {}", finding_title(effect.from, options), standing(effect.from, options),
                     standing(effect.to, options));
}

std::string settling_text(const counsel::Trouble& trouble, const TableOptions& options) {
  const counsel::Settling& settling = *trouble.settling;
  // As many digits as the doubt itself is shown with.
  Finding wanted = trouble.finding;
  wanted.value = settling.wanted;
  wanted.expanded = settling.wanted;
  const std::string shown = finding_value(wanted, options);
  std::string text = fmt::format("to be sure it needs ± {} or better: ", shown.substr(0, shown.find(" ±")));
  if (settling.times) {
    text += fmt::format("take readings[{}] {} times in all", *settling.reading, *settling.times);
  } else if (!settling.tool.empty()) {
    text += fmt::format("repeats do not do it, a better tool than {} may", settling.tool);
  } else if (!settling.label.empty()) {
    text += fmt::format("repeats do not do it, the rest is {}", settling.label);
  } else {
    text += "no repeat of one reading does it";
  }
  return text;
}

/// Letters for the corrections that mend something, in the order of the report.
class Letters {
 public:
  explicit Letters(const Counsel& counsel) {
    for (const counsel::Trouble& trouble : counsel.troubles) {
      for (const counsel::Remedy& remedy : trouble.remedies) {
        remedies_.emplace(remedy.correction, remedy);
      }
    }
    if (!counsel.plans.empty()) {
      for (const std::size_t place : counsel.plans.front().corrections) {
        remedies_.emplace(place, counsel::Remedy{place, 0, {}});
      }
    }
  }

  const std::map<std::size_t, counsel::Remedy>& remedies() const { return remedies_; }

  std::string of(std::size_t correction) const {
    const auto number = std::distance(remedies_.begin(), remedies_.find(correction));
    return number < 26 ? std::string(1, static_cast<char>('A' + number)) : fmt::format("Z{}", number - 25);
  }

 private:
  std::map<std::size_t, counsel::Remedy> remedies_;
};

std::string corrections_text(const Counsel& counsel, const Letters& letters, const TableOptions& options) {
  std::string text = "\nCorrections the parts allow\n";
  if (letters.remedies().empty()) {
    return text + line("none that would mend anything", 2);
  }
  for (const auto& [place, remedy] : letters.remedies()) {
    text += line(
        fmt::format("{}  {} (mends {}, harms {})", letters.of(place), counsel.report.corrections[place].says,
                    remedy.mended, remedy.harmed.empty() ? "nothing" : std::to_string(remedy.harmed.size())),
        2);
    for (std::size_t i = 0; i < remedy.harmed.size() && i < most_lines; ++i) {
      text += line("harms " + movement(remedy.harmed[i], options), 5);
    }
  }
  return text;
}

std::string troubles_text(const Counsel& counsel, const Letters& letters, const TableOptions& options) {
  std::string text = "What does not hold, and what by itself would mend it\n";
  for (const counsel::Trouble& trouble : counsel.troubles) {
    std::string mended_by;
    for (const counsel::Remedy& remedy : trouble.remedies) {
      mended_by += (mended_by.empty() ? "" : " or ") + letters.of(remedy.correction);
    }
    text += line(
        fmt::format("{}: {}; {}", finding_title(trouble.finding, options), standing(trouble.finding, options),
                    mended_by.empty() ? "nothing by itself" : mended_by),
        2);
    if (trouble.settling) {
      text += line(settling_text(trouble, options), 4);
    }
  }
  return text;
}

std::string plan_text(const Counsel& counsel, const Letters& letters, const TableOptions& options) {
  std::string text = "\nThe fewest corrections together\n";
  if (counsel.plans.empty()) {
    return text + line("no set of corrections that the parts allow leaves less to mend", 2);
  }
  const counsel::Plan& plan = counsel.plans.front();
  std::string set;
  for (const std::size_t place : plan.corrections) {
    set += (set.empty() ? "" : " and ") + letters.of(place);
  }
  text += line(set + (plan.all_hold()
                          ? ": everything that is measured holds then"
                          : fmt::format(": {} fail and {} are too close then", plan.fails, plan.too_close)),
               2);
  std::size_t lines = 0;
  for (const Effect& effect : plan.effects) {
    if (effect.from.verdict != effect.to.verdict && ++lines <= most_lines) {
      text += line(movement(effect, options), 4);
    }
  }
  if (lines > most_lines) {
    text += line(fmt::format("and {} verdicts more that change", lines - most_lines), 4);
  }
  return text;
}

std::string counsel_text(const Counsel& counsel, const TableOptions& options) {
  if (counsel.troubles.empty()) {
    return "Everything that is measured holds: there is nothing to mend.\n";
  }
  const Letters letters(counsel);
  std::string text = troubles_text(counsel, letters, options);
  text += corrections_text(counsel, letters, options);
  text += plan_text(counsel, letters, options);
  text += fmt::format("\n{} sets of corrections tried{}\n", counsel.tried,
                      counsel.complete ? "" : "; there are more, a better one may be among them");
  if (counsel.report.next_reading) {
    text += "\nNext reading\n" + line(counsel.report.next_reading->says, 2);
  }
  text += wrapped(
              "A prediction from the readings: prove the engine again when it is done. Follow the maker's "
              "sheet; these figures do not replace it.",
              columns, 0) +
          "\n";
  return text;
}

}  // namespace

ExitCode counsel_command(const CounselRequest& request, std::istream& in, std::ostream& out,
                         std::ostream& err) {
  const auto build = read_build_file(request.path, request.json, in, out, err);
  if (!build) {
    return ExitCode::bad_input;
  }
  const Counsel counsel = counsel::counsel(*build, {.most_together = request.most_together});
  out << (request.json ? counsel::counsel_json(counsel).dump(2) + "\n"
                       : counsel_text(counsel, {request.system, request.colour}));
  return exit_code(counsel.report);
}

}  // namespace fettle::cli
