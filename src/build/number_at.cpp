#include "build/number_at.h"

#include <charconv>
#include <cmath>
#include <map>
#include <stdexcept>
#include <type_traits>
#include <vector>

#include <fmt/format.h>

#include "build/describe.h"
#include "build/names.h"
#include "quantity/text.h"

namespace fettle::build {
namespace {

/// Parts of a pointer, with ~1 and ~0 as RFC 6901 has them.
std::vector<std::string> parts_of(std::string_view pointer) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < pointer.size(); ++i) {
    if (pointer[i] == '/') {
      parts.emplace_back();
    } else if (!parts.empty()) {
      const bool escaped = pointer[i] == '~' && i + 1 < pointer.size();
      if (escaped && (pointer[i + 1] == '0' || pointer[i + 1] == '1')) {
        parts.back() += pointer[++i] == '0' ? '~' : '/';
      } else {
        parts.back() += pointer[i];
      }
    }
  }
  return parts;
}

double finite(double si) {
  if (!std::isfinite(si)) {
    throw std::invalid_argument("a number of a build must be finite");
  }
  return si;
}

/// Goes down one path of the document by its description.
class PathFinder {
 public:
  PathFinder(std::vector<std::string> parts, std::string_view pointer)
      : parts_(std::move(parts)), pointer_(pointer) {}

  template <class T>
  void required(std::string_view key, T& member, std::string_view /*meaning*/, std::string_view /*example*/) {
    known_.emplace_back(key);
    if (!taken_ && next_ < parts_.size() && parts_[next_] == key) {
      taken_ = true;
      ++next_;
      go(member);
    }
  }
  template <class T>
  void optional(std::string_view key, T& member, std::string_view meaning, std::string_view example) {
    required(key, member, meaning, example);
  }

  template <class T>
  void enter(T& object) {
    if (next_ == parts_.size()) {
      refuse("a part as a whole", "the path of one number in it");
      return;
    }
    taken_ = false;
    known_.clear();
    describe(*this, object);
    if (!taken_) {
      const std::string near = nearest(parts_[next_], known_);
      refuse(fmt::format("the unknown key \"{}\"", quantity::shown_text(parts_[next_])),
             near.empty() ? fmt::format("one of the keys {}", fmt::join(known_, ", "))
                          : fmt::format("{} (the nearest key)", near));
      taken_ = true;
    }
  }

  FoundNumber found;

 private:
  void go(double& member) {
    take({quantity::Dimension::ratio, true, member, [&member](double si) { member = finite(si); }});
  }
  template <quantity::Dimension D>
  void go(quantity::Quantity<D>& member) {
    take({D, false, member.si(), [&member](double si) { member = quantity::Quantity<D>::from_si(si); }});
  }
  void go(Measure& member) {
    take({member.dimension, false, member.si, [&member](double si) { member.si = finite(si); }});
  }
  void go(WheelMark& member) {
    take({quantity::Dimension::angle, false, member.radians,
          [&member](double si) { member.radians = finite(si); }});
  }
  void go(std::string&) { refuse_kind(); }
  void go(int&) { refuse_kind(); }
  void go(bool&) { refuse_kind(); }
  void go(SweepPoint& member) {
    if (next_ == parts_.size()) {
      refuse_kind();
    } else if (const std::string part = parts_[next_++]; part == "0") {
      go(member.wheel);
    } else if (part == "1") {
      go(member.lift);
    } else {
      refuse(part, "0 for the wheel, 1 for the lift");
    }
  }

  template <class T>
  void go(std::optional<T>& member) {
    if (member) {
      go(*member);
    } else {
      refuse("a key that the build leaves out", "a number that the build states");
    }
  }
  template <class T>
  void go(std::vector<T>& list) {
    if (next_ == parts_.size()) {
      refuse("a list as a whole", "the place of one of it, counted from 0");
      return;
    }
    const std::string& part = parts_[next_];
    if constexpr (std::is_same_v<T, Reading>) {
      for (Reading& reading : list) {
        if (reading.id == part) {
          ++next_;
          go(reading);
          return;
        }
      }
    }
    std::size_t place = 0;
    const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), place);
    if (error != std::errc{} || end != part.data() + part.size() || place >= list.size()) {
      refuse(fmt::format("\"{}\"", quantity::shown_text(part)),
             fmt::format("a place in a list of {}, counted from 0", list.size()));
      return;
    }
    ++next_;
    go(list[place]);
  }
  template <class T>
  void go(std::map<std::string, T>& table) {
    const std::string part = next_ < parts_.size() ? parts_[next_] : std::string();
    const auto entry = table.find(part);
    if (entry == table.end()) {
      std::vector<std::string> names;
      for (const auto& [name, value] : table) {
        names.push_back(name);
      }
      refuse(fmt::format("\"{}\"", quantity::shown_text(part)),
             fmt::format("one of {}", fmt::join(names, ", ")));
      return;
    }
    ++next_;
    go(entry->second);
  }
  template <class T>
  void go(T& member) {
    if constexpr (std::is_enum_v<T>) {
      refuse_kind();
    } else {
      enter(member);
    }
  }

  void take(NumberAt number) {
    if (next_ != parts_.size()) {
      refuse("a path that goes on past a number", "a path that ends at it");
      return;
    }
    found.number = std::move(number);
  }
  void refuse_kind() { refuse("a word or a whole number", "a quantity or a number with decimals"); }
  void refuse(std::string given, std::string accepted) {
    if (!found.problem) {
      found.problem = Problem{"path", fmt::format("\"{}\", {}", quantity::shown_text(pointer_), given),
                              std::move(accepted), ""};
    }
  }

  std::vector<std::string> parts_;
  std::string pointer_;
  std::size_t next_ = 0;
  bool taken_ = false;
  std::vector<std::string> known_;
};

}  // namespace

FoundNumber number_at(Build& build, std::string_view pointer) {
  if (pointer.empty() || pointer.front() != '/') {
    return {std::nullopt, Problem{"path", fmt::format("\"{}\"", quantity::shown_text(std::string(pointer))),
                                  "a path into the build that begins with /", "\"/gasket/thickness\""}};
  }
  PathFinder finder(parts_of(pointer), pointer);
  finder.enter(build);
  return std::move(finder.found);
}

}  // namespace fettle::build
