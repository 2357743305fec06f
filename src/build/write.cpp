#include <fmt/format.h>

#include "build/codec.h"
#include "build/describe.h"
#include "build/names.h"
#include "quantity/print.h"

namespace fettle::build {
namespace {

using nlohmann::ordered_json;

template <quantity::Dimension D>
ordered_json written(const quantity::Quantity<D>& x) {
  return x.typed().empty() ? quantity::print(x.si(), D, quantity::System::metric) : x.typed();
}
ordered_json written(const std::string& x) {
  return x;
}
ordered_json written(int x) {
  return x;
}
ordered_json written(double x) {
  return x;
}
ordered_json written(bool x) {
  return x;
}
ordered_json written(const Measure& x) {
  return x.typed;
}
ordered_json written(const WheelMark& x) {
  return x.typed;
}
ordered_json written(const SweepPoint& x) {
  return ordered_json::array({written(x.wheel), written(x.lift)});
}

template <class T>
ordered_json written(const std::vector<T>& list);
template <class T>
ordered_json written(const std::map<std::string, T>& table);
template <class T>
ordered_json written(const T& x);

/// Visits the keys of one object and puts those that hold something.
class ObjectWriter {
 public:
  template <class T>
  void required(std::string_view key, const T& member, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    put(key, member);
  }
  template <class T>
  void optional(std::string_view key, const T& member, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    put(key, member);
  }
  ordered_json object = ordered_json::object();

 private:
  template <class T>
  void put(std::string_view key, const T& member) {
    object[std::string(key)] = written(member);
  }
  template <class T>
  void put(std::string_view key, const std::optional<T>& member) {
    if (member) {
      put(key, *member);
    }
  }
  template <class T>
  void put(std::string_view key, const std::vector<T>& member) {
    if (!member.empty()) {
      object[std::string(key)] = written(member);
    }
  }
  template <class T>
  void put(std::string_view key, const std::map<std::string, T>& member) {
    if (!member.empty()) {
      object[std::string(key)] = written(member);
    }
  }
};

template <class T>
ordered_json written(const std::vector<T>& list) {
  ordered_json array = ordered_json::array();
  for (const T& item : list) {
    array.push_back(written(item));
  }
  return array;
}

template <class T>
ordered_json written(const std::map<std::string, T>& table) {
  ordered_json object = ordered_json::object();
  for (const auto& [name, item] : table) {
    object[name] = written(item);
  }
  return object;
}

template <class T>
ordered_json written(const T& x) {
  if constexpr (std::is_enum_v<T>) {
    return std::string(word(x));
  } else {
    ObjectWriter visitor;
    // describe() takes its object by reference to serve the reader too; this visitor only looks.
    describe(visitor, const_cast<T&>(x));
    return std::move(visitor.object);
  }
}

}  // namespace

ordered_json write_build(const Build& build) {
  return written(build);
}

}  // namespace fettle::build
