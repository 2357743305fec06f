#include "stations/report_json.h"

#include <cmath>

#include <rapidjson/prettywriter.h>
#include <rapidjson/stringbuffer.h>
#include <rapidjson/writer.h>

#include "build/findings.h"
#include "build/names.h"

namespace fettle::stations {
namespace {

using nlohmann::ordered_json;

std::string_view verdict_word(metrology::Verdict verdict) {
  return verdict == metrology::Verdict::too_close ? "too_close" : metrology::name(verdict);
}

/// Writes a report as it goes: a report of a whole engine is some hundreds of kilobytes, and to build it up
/// as a tree first costs more than to work it out.
template <class Writer>
class ReportWriter {
 public:
  explicit ReportWriter(Writer& writer) : w_(writer) {}

  void report(const Report& report) {
    w_.StartObject();
    list("findings", report.findings, [this](const Finding& one) { finding(one); });
    list("mistakes", report.mistakes, [this](const Mistake& one) { mistake(one); });
    list("corrections", report.corrections, [this](const Correction& one) { correction(one); });
    key("next_reading");
    report.next_reading ? next_reading(*report.next_reading) : null();
    list("assumptions", report.assumptions, [this](const std::string& one) { text(one); });
    list("first_start", report.first_start, [this](const StartStep& one) { start_step(one); });
    w_.EndObject();
  }

  void movements(const std::vector<Movement>& all) {
    w_.StartArray();
    for (const Movement& one : all) {
      const Finding& named = one.to != nullptr ? *one.to : *one.from;
      w_.StartObject();
      member("id", named.id);
      where(named.where);
      member("unit", unit_of(named.id));
      standing("from", one.from);
      standing("to", one.to);
      w_.EndObject();
    }
    w_.EndArray();
  }

 private:
  void key(std::string_view name) { w_.Key(name.data(), static_cast<rapidjson::SizeType>(name.size())); }
  void text(std::string_view value) {
    w_.String(value.data(), static_cast<rapidjson::SizeType>(value.size()));
  }
  void null() { w_.Null(); }
  void number(double value) { std::isfinite(value) ? w_.Double(value) : w_.Null(); }
  void number(const std::optional<double>& value) { value ? number(*value) : null(); }
  void member(std::string_view name, std::string_view value) {
    key(name);
    text(value);
  }
  void member(std::string_view name, double value) {
    key(name);
    number(value);
  }
  template <class T, class One>
  void list(std::string_view name, const std::vector<T>& all, One one) {
    key(name);
    w_.StartArray();
    for (const T& item : all) {
      one(item);
    }
    w_.EndArray();
  }

  void where(const Where& where) {
    key("where");
    w_.StartObject();
    if (where.cylinder) {
      key("cylinder");
      w_.Int(*where.cylinder);
    }
    if (where.valve) {
      member("valve", build::word(*where.valve));
    }
    if (where.at) {
      member("at", *where.at);
    }
    if (!where.part.empty()) {
      member("part", where.part);
    }
    if (where.number) {
      key("number");
      w_.Int(*where.number);
    }
    if (where.main) {
      key("main");
      w_.Int(*where.main);
    }
    w_.EndObject();
  }

  void verdict(const std::optional<metrology::Verdict>& verdict) {
    key("verdict");
    verdict ? text(verdict_word(*verdict)) : null();
  }

  void limit(const LimitInForce& limit) {
    key("limit");
    w_.StartObject();
    key("min");
    number(limit.min);
    key("max");
    number(limit.max);
    member("source", limit.source);
    w_.EndObject();
  }

  void share(const Share& share) {
    w_.StartObject();
    if (share.reading) {
      key("reading");
      w_.Int(*share.reading);
    } else {
      member("tool", share.tool);
    }
    member("label", share.label);
    member("share", share.share);
    w_.EndObject();
  }

  void finding(const Finding& finding) {
    w_.StartObject();
    member("id", finding.id);
    member("station", station_of(finding.id));
    where(finding.where);
    member("unit", unit_of(finding.id));
    key("value");
    number(finding.value);
    if (finding.value) {
      member("u", finding.u);
      member("dof", finding.dof);
      member("expanded", finding.expanded);
    }
    if (finding.limit) {
      limit(*finding.limit);
    }
    verdict(finding.verdict);
    if (!finding.basis.empty()) {
      member("basis", finding.basis);
    }
    if (!finding.needs.empty()) {
      member("needs", finding.needs);
    }
    list("shares", finding.shares, [this](const Share& one) { share(one); });
    if (finding.trials) {
      key("trials");
      w_.StartObject();
      member("mean", finding.trials->mean);
      member("u", finding.trials->u);
      member("low", finding.trials->low);
      member("high", finding.trials->high);
      w_.EndObject();
    }
    w_.EndObject();
  }

  void mistake(const Mistake& mistake) {
    w_.StartObject();
    member("id", mistake.id);
    member("station", station_of(mistake.id));
    list("readings", mistake.readings, [this](int reading) { w_.Int(reading); });
    key("cylinder");
    mistake.cylinder ? w_.Int(*mistake.cylinder) : w_.Null();
    member("says", mistake.says);
    member("do_next", mistake.do_next);
    w_.EndObject();
  }

  void side(std::string_view name, const Finding& finding) {
    key(name);
    w_.StartObject();
    key("value");
    number(finding.value);
    member("expanded", finding.expanded);
    verdict(finding.verdict);
    w_.EndObject();
  }

  /// Value, doubt and verdict alone; null for both where there is no such finding.
  void standing(std::string_view name, const Finding* finding) {
    const bool known = finding != nullptr && finding->value && std::isfinite(*finding->value);
    key(name);
    w_.StartObject();
    key("value");
    number(known ? finding->value : std::nullopt);
    if (known) {
      member("expanded", finding->expanded);
    }
    verdict(finding != nullptr ? finding->verdict : std::nullopt);
    w_.EndObject();
  }

  void effect(const Effect& effect) {
    w_.StartObject();
    member("id", effect.from.id);
    where(effect.from.where);
    member("unit", unit_of(effect.from.id));
    side("from", effect.from);
    side("to", effect.to);
    w_.EndObject();
  }

  void operation(const Operation& operation) {
    w_.StartObject();
    member("path", operation.path);
    key("value");
    const std::string value = operation.value.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
    w_.RawValue(value.data(), value.size(), rapidjson::kStringType);
    w_.EndObject();
  }

  void correction(const Correction& correction) {
    w_.StartObject();
    member("id", correction.id);
    member("station", station_of(correction.id));
    member("says", correction.says);
    key("recommended");
    w_.Bool(correction.recommended);
    list("operations", correction.operations, [this](const Operation& one) { operation(one); });
    list("effects", correction.effects, [this](const Effect& one) { effect(one); });
    w_.EndObject();
  }

  void start_step(const StartStep& step) {
    w_.StartObject();
    member("id", step.id);
    member("says", step.says);
    member("why", step.why);
    key("caution");
    w_.Bool(step.caution);
    list("open", step.open, [this](const std::string& one) { text(one); });
    w_.EndObject();
  }

  void next_reading(const NextReading& next) {
    w_.StartObject();
    member("says", next.says);
    member("station", station_of(next.finding));
    key("reading");
    next.reading ? w_.Int(*next.reading) : w_.Null();
    member("tool", next.tool);
    member("finding", next.finding);
    where(next.where);
    member("expanded_from", next.expanded_from);
    member("expanded_to", next.expanded_to);
    w_.EndObject();
  }

  Writer& w_;
};

template <class Writer>
std::string written(const Report& report) {
  rapidjson::StringBuffer buffer;
  Writer writer(buffer);
  if constexpr (requires { writer.SetIndent(' ', 2); }) {
    writer.SetIndent(' ', 2);
  }
  ReportWriter<Writer>(writer).report(report);
  return {buffer.GetString(), buffer.GetSize()};
}

}  // namespace

std::string report_json(const Report& report, JsonLayout layout) {
  return layout == JsonLayout::indented ? written<rapidjson::PrettyWriter<rapidjson::StringBuffer>>(report)
                                        : written<rapidjson::Writer<rapidjson::StringBuffer>>(report);
}

std::string_view station_of(std::string_view id) {
  return id.substr(0, id.find('.'));
}

std::string_view unit_of(std::string_view id) {
  const build::FindingKind* kind = build::finding_kind(id);
  return kind == nullptr ? std::string_view() : quantity::si_unit(kind->dimension);
}

std::string movements_json(const std::vector<Movement>& movements) {
  using Writer = rapidjson::Writer<rapidjson::StringBuffer>;
  rapidjson::StringBuffer buffer;
  Writer writer(buffer);
  ReportWriter<Writer>(writer).movements(movements);
  return {buffer.GetString(), buffer.GetSize()};
}

}  // namespace fettle::stations
