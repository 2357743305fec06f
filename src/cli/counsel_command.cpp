#include "cli/counsel_command.h"

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
  Finding wanted = trouble.finding;
  wanted.value = settling.wanted;
  wanted.expanded = 0;
  std::string text = fmt::format("to be sure it needs ± {} or better; ", finding_value(wanted, options));
  if (settling.times) {
    text += fmt::format("take reading {} {} times in all", *settling.reading, *settling.times);
  } else if (settling.reading && !settling.tool.empty()) {
    text += fmt::format("repeats do not do it, a better tool than {} may", settling.tool);
  } else {
    text += "no repeat of one reading does it";
  }
  return text;
}

std::string trouble_text(const Counsel& counsel, const counsel::Trouble& trouble,
                         const TableOptions& options) {
  std::string text = line(
      fmt::format("{}: {}", finding_title(trouble.finding, options), standing(trouble.finding, options)), 2);
  if (trouble.settling) {
    text += line(settling_text(trouble, options), 4);
  }
  if (trouble.remedies.empty()) {
    text += line("no single correction that the parts allow makes it hold", 4);
  }
  for (std::size_t i = 0; i < trouble.remedies.size() && i < 3; ++i) {
    const counsel::Remedy& remedy = trouble.remedies[i];
    std::string says = "- " + counsel.report.corrections[remedy.correction].says;
    says += fmt::format(" (mends {}, harms {})", remedy.mended,
                        remedy.harmed.empty() ? "nothing" : std::to_string(remedy.harmed.size()));
    text += line(says, 4);
    for (const Effect& harmed : remedy.harmed) {
      text += line("harms " + movement(harmed, options), 8);
    }
  }
  return text;
}

std::string plan_text(const Counsel& counsel, const counsel::Plan& plan, const TableOptions& options) {
  std::string text;
  for (const std::size_t place : plan.corrections) {
    text += line("=> " + counsel.report.corrections[place].says, 2);
  }
  text += line(plan.all_hold() ? "everything that is measured holds then"
                               : fmt::format("{} fail and {} are too close then", plan.fails, plan.too_close),
               4);
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
  std::string text = "What does not hold, and what would mend it\n";
  for (const counsel::Trouble& trouble : counsel.troubles) {
    text += trouble_text(counsel, trouble, options);
  }
  text += "\nThe fewest corrections together\n";
  if (counsel.plans.empty()) {
    text += line("no set of corrections that the parts allow leaves less to mend", 2);
  } else {
    text += plan_text(counsel, counsel.plans.front(), options);
  }
  text += fmt::format("\n{} sets of corrections tried{}\n", counsel.tried,
                      counsel.complete ? "" : "; more could have been, a better one may be among them");
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
