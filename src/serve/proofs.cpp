#include "serve/proofs.h"

#include <algorithm>
#include <cmath>

#include <tbb/parallel_invoke.h>

#include "build/codec.h"
#include "stations/prove.h"
#include "stations/report_json.h"

namespace fettle::serve {
namespace {

using nlohmann::ordered_json;
using stations::Finding;
using stations::Report;

/// Two runs over the same numbers agree to the last digits, not always to the last bit.
constexpr double rounding = 1e-9;

bool same_value(const std::optional<double>& a, const std::optional<double>& b) {
  if (!a || !b) {
    return a.has_value() == b.has_value();
  }
  return std::abs(*a - *b) <= rounding * std::max({std::abs(*a), std::abs(*b), 1e-3});
}

ordered_json movement(const Finding& named, const Finding* from, const Finding* to) {
  return {{"id", named.id},
          {"where", stations::where_json(named.where)},
          {"unit", stations::unit_of(named.id)},
          {"from", stations::standing_json(from)},
          {"to", stations::standing_json(to)}};
}

/// An object's text with one more member at its end.
std::string with_pictures(std::string object, const std::string& pictures) {
  object.pop_back();
  object += R"(,"pictures":)";
  object += pictures;
  object += '}';
  return object;
}

std::string text_of(const ordered_json& json) {
  return json.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

}  // namespace

Proof work_out(const nlohmann::json& document, const std::shared_ptr<stations::Memory>& memory) {
  Proof proof;
  const build::ReadBuild read = build::read_document(document);
  if (!read.build) {
    proof.problems = read.problems;
    proof.json = stations::report_json({});
    return proof;
  }
  const stations::Sources sources(*read.build, memory);
  proof.report = stations::prove(sources);
  std::string report;
  std::string pictures;
  tbb::parallel_invoke([&] { report = stations::report_json(proof.report); },
                       [&] { pictures = text_of(stations::pictures_json(sources, proof.report)); });
  proof.json = with_pictures(std::move(report), pictures);
  return proof;
}

Counts counts_of(const Report& report) {
  return {stations::tally(report), static_cast<int>(report.mistakes.size())};
}

Proofs::Proofs(std::size_t most) : most_(most), memory_(std::make_shared<stations::Memory>()) {}

std::shared_ptr<const Proof> Proofs::known(const std::string& engine, ledger::EntryNumber version) {
  const std::lock_guard lock(mutex_);
  const auto place = places_.find({engine, version});
  if (place == places_.end()) {
    return nullptr;
  }
  recent_.splice(recent_.begin(), recent_, place->second);
  return place->second->proof;
}

std::shared_ptr<const Proof> Proofs::of(const std::string& engine, ledger::EntryNumber version,
                                        const nlohmann::json& document) {
  if (auto found = known(engine, version)) {
    return found;
  }
  auto proof = std::make_shared<const Proof>(work_out(document, memory_));
  const std::lock_guard lock(mutex_);
  auto& count = counts_[engine];
  if (version >= count.first) {
    count = {version, counts_of(proof->report)};
  }
  const Key key{engine, version};
  if (const auto place = places_.find(key); place != places_.end()) {
    return place->second->proof;  // somebody else was quicker
  }
  recent_.push_front({key, proof});
  places_[key] = recent_.begin();
  if (recent_.size() > most_) {
    places_.erase(recent_.back().key);
    recent_.pop_back();
  }
  return proof;
}

std::optional<Counts> Proofs::counts(const std::string& engine, ledger::EntryNumber version) {
  const std::lock_guard lock(mutex_);
  const auto found = counts_.find(engine);
  if (found == counts_.end() || found->second.first != version) {
    return std::nullopt;
  }
  return found->second.second;
}

ordered_json moved_json(const Report& from, const Report& to) {
  ordered_json moved = ordered_json::array();
  for (const Finding& finding : to.findings) {
    const Finding* before = stations::find(from, finding.id, finding.where);
    if (before == nullptr || !same_value(before->value, finding.value) ||
        before->verdict != finding.verdict) {
      moved.push_back(movement(finding, before, &finding));
    }
  }
  for (const Finding& finding : from.findings) {
    if (stations::find(to, finding.id, finding.where) == nullptr) {
      moved.push_back(movement(finding, &finding, nullptr));
    }
  }
  return moved;
}

}  // namespace fettle::serve
