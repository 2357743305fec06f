#include <algorithm>
#include <array>
#include <stdexcept>

#include "build/blank.h"
#include "build/describe.h"
#include "build/names.h"
#include "build/reading_rules.h"
#include "stations/catalogue.h"

namespace fettle::stations {
namespace {

using build::Reading;
using build::ReadingKind;
using build::ToolKind;

/// What a label says where the key alone would not do.
struct Label {
  std::string_view key;
  std::string_view title;
};
constexpr std::array labels{
    Label{"cylinder", "Cylinder"},
    Label{"valve", "Lobe"},
    Label{"side", "Side"},
    Label{"measured_at", "Indicator on"},
    Label{"turning", "Turning"},
    Label{"stop", "Stop"},
    Label{"stop_depth", "Stop below TDC"},
    Label{"drop", "Drop"},
    Label{"lift", "Lift from base circle"},
    Label{"below_max", "Drop from the top"},
    Label{"wheel", "Wheel shows"},
    Label{"slack", "Slack"},
    Label{"repeats", "Read again"},
    Label{"points", "Wheel and lift"},
    Label{"height", "Spring height"},
    Label{"load", "Load"},
    Label{"gap", "Gap"},
    Label{"offset", "Mark off the middle"},
    Label{"width", "Width of the mark"},
    Label{"depth", "Plunger depth"},
    Label{"turns", "Turns past zero lash"},
    Label{"main", "Main bearing"},
    Label{"piston", "Piston"},
    Label{"rod", "Rod"},
    Label{"ring", "Ring"},
    Label{"half", "Half"},
    Label{"diameter", "Diameter"},
    Label{"wall", "Wall"},
    Label{"along", "Place along the axis"},
    Label{"around", "Direction"},
    Label{"temperature", "Temperature"},
    Label{"shells", "Shells in place"},
    Label{"honed", "Honed by then"},
    Label{"shim", "Shims in place"},
    Label{"gasket", "Gasket in place"},
    Label{"pushrod", "Pushrod in place"},
    Label{"warmth", "Engine"},
    Label{"thickness", "Thickness"},
    Label{"firing", "Firing TDC of cylinder"},
    Label{"again", "Read again"},
    Label{"gauge", "Measured with"},
    Label{"tester", "Load tester"},
    Label{"pass", "Pass"},
    Label{"position", "Timing set at"},
    Label{"tool", "Wheel"},
    Label{"lift_tool", "Indicator"},

    Label{"fastener", "Fasteners"},
    Label{"number", "Number"},
    Label{"stage", "Taken"},
    Label{"item", "Part"},
    Label{"place", "Place on the crown"},
    Label{"below", "Below the deck"},
    Label{"size", "Length"},
    Label{"volume", "Volume poured"},
    Label{"mass", "Weight"},
    Label{"pressure", "Gauge shows"},
    Label{"torque", "Torque"},
    Label{"angle", "Angle past snug"},
    Label{"milled", "Milled off until then"},
    Label{"cut", "Cut off the deck until then"},
    Label{"deepened", "Cut out of the crown until then"},
    Label{"lightened", "Taken off until then"},
};
struct KindLabel {
  ReadingKind kind;
  std::string_view title;
};
constexpr std::array kind_labels{
    KindLabel{ReadingKind::stop_contact, "Stop contact"},
    KindLabel{ReadingKind::tdc_drop, "Equal drops"},
    KindLabel{ReadingKind::tdc_sweep, "Sweep through TDC"},
    KindLabel{ReadingKind::lobe_point, "Lobe point"},
    KindLabel{ReadingKind::lobe_top, "Top of the lobe"},
    KindLabel{ReadingKind::lobe_sweep, "Sweep of a lobe"},
    KindLabel{ReadingKind::chain_slack, "Timing slack"},
    KindLabel{ReadingKind::spring_load, "Load at a height"},
    KindLabel{ReadingKind::installed_height, "Installed height"},
    KindLabel{ReadingKind::solid_height, "Coil bind"},
    KindLabel{ReadingKind::retainer_gap, "Retainer to seal"},
    KindLabel{ReadingKind::valve_drop, "Drop to the piston"},
    KindLabel{ReadingKind::clay, "Clay"},
    KindLabel{ReadingKind::notch_gap, "Rim to notch"},
    KindLabel{ReadingKind::tip_mark, "Mark on the tip"},
    KindLabel{ReadingKind::preload_turns, "Turns of preload"},
    KindLabel{ReadingKind::plunger_depth, "Plunger depth"},
    KindLabel{ReadingKind::valve_lash, "Lash"},
    KindLabel{ReadingKind::bucket_shim, "Bucket shim"},

    KindLabel{ReadingKind::chamber_fill, "Chamber"},
    KindLabel{ReadingKind::dish_fill, "Dish and notches"},
    KindLabel{ReadingKind::piston_fill, "Fill above the piston"},
    KindLabel{ReadingKind::gasket_crush, "Crushed gasket"},
    KindLabel{ReadingKind::gasket_bore, "Gasket opening"},
    KindLabel{ReadingKind::compression_gauge, "Compression gauge"},
    KindLabel{ReadingKind::deck_clearance, "Deck clearance"},
    KindLabel{ReadingKind::bolt_length, "Length of a bolt"},
    KindLabel{ReadingKind::bolt_torque, "Torque of a bolt"},
    KindLabel{ReadingKind::bolt_turn, "Angle of a bolt"},
    KindLabel{ReadingKind::part_weight, "Weight"},
    KindLabel{ReadingKind::journal_diameter, "Journal"},
    KindLabel{ReadingKind::housing_bore, "Housing bore"},
    KindLabel{ReadingKind::bearing_bore, "Bore with shells in"},
    KindLabel{ReadingKind::shell_wall, "Shell wall"},
    KindLabel{ReadingKind::film_strip, "Crushed strip"},
    KindLabel{ReadingKind::end_play, "Crank end play"},
    KindLabel{ReadingKind::rod_side, "Rod side clearance"},
    KindLabel{ReadingKind::bore_diameter, "Bore"},
    KindLabel{ReadingKind::piston_diameter, "Piston"},
    KindLabel{ReadingKind::ring_gap, "Ring end gap"},
    KindLabel{ReadingKind::ring_side, "Ring side clearance"},
};

std::string_view label_of(std::string_view key) {
  const auto found =
      std::find_if(labels.begin(), labels.end(), [&](const Label& label) { return label.key == key; });
  if (found == labels.end()) {
    throw std::invalid_argument("reading_form: a field without a label: " + std::string(key));
  }
  return found->title;
}

std::string_view label_of(ReadingKind kind) {
  for (const KindLabel& label : kind_labels) {
    if (label.kind == kind) {
      return label.title;
    }
  }
  throw std::invalid_argument("reading_form: a kind of reading without a label");
}

/// "opening" as a choice's title: "Opening"; "big_end": "Big end".
std::string capitalised(std::string_view word) {
  std::string title(word);
  std::replace(title.begin(), title.end(), '_', ' ');
  if (!title.empty() && title[0] >= 'a' && title[0] <= 'z') {
    title[0] = static_cast<char>(title[0] - 'a' + 'A');
  }
  return title;
}

void shape(Field& field, const build::WheelMark&) {
  field.type = FieldType::wheel;
}
void shape(Field& field, const std::vector<build::WheelMark>&) {
  field.type = FieldType::wheel_list;
}
void shape(Field& field, const std::vector<build::SweepPoint>&) {
  field.type = FieldType::points;
}
void shape(Field& field, int) {
  field.type = field.key == "cylinder" ? FieldType::cylinder : FieldType::count;
}
void shape(Field& field, const quantity::Quantity<quantity::Dimension::length>&) {
  field.type = FieldType::length;
}
void shape(Field& field, const quantity::Quantity<quantity::Dimension::force>&) {
  field.type = FieldType::force;
}
void shape(Field& field, const quantity::Volume&) {
  field.type = FieldType::volume;
}
void shape(Field& field, const quantity::Mass&) {
  field.type = FieldType::mass;
}
void shape(Field& field, const quantity::Pressure&) {
  field.type = FieldType::pressure;
}
void shape(Field& field, const quantity::Torque&) {
  field.type = FieldType::torque;
}
void shape(Field& field, const quantity::Quantity<quantity::Dimension::temperature>&) {
  field.type = FieldType::temperature;
}
void shape(Field& field, double) {
  field.type = FieldType::number;
}
void shape(Field& field, const std::vector<build::Measure>&) {
  field.type = FieldType::measure_list;
}
void shape(Field& field, const quantity::Quantity<quantity::Dimension::angle>&) {
  field.type = field.key == "position" ? FieldType::position : FieldType::angle;
}
void shape(Field& field, const std::string&) {
  field.type = FieldType::text;
  if (field.key == "tool") {
    field.type = FieldType::tool;
    field.tools = {ToolKind::degree_wheel, ToolKind::angle_encoder};
  } else if (field.key == "lift_tool") {
    field.type = FieldType::tool;
    field.tools = {ToolKind::dial_indicator, ToolKind::digital_indicator};
  } else if (field.key == "gauge") {
    field.type = FieldType::tool;
    field.tools = {ToolKind::height_micrometer, ToolKind::micrometer,        ToolKind::caliper,
                   ToolKind::depth_gauge,       ToolKind::feeler_gauge,      ToolKind::scale_rule,
                   ToolKind::dial_indicator,    ToolKind::digital_indicator, ToolKind::bore_gauge};
  } else if (field.key == "tester") {
    field.type = FieldType::tool;
    field.tools = {ToolKind::load_tester};
  }
}
template <class E>
requires std::is_enum_v<E>
void shape(Field& field, E) {
  field.type = FieldType::choice;
  for (const auto& named : build::names(E{})) {
    field.choices.push_back({std::string(named.word), capitalised(named.word)});
  }
}
template <class T>
void shape(Field& field, const std::optional<T>&) {
  shape(field, build::blank<T>());
}

/// Visits the description of a reading and keeps the field of one key.
class FieldFinder {
 public:
  explicit FieldFinder(std::string_view key) : key_(key) {}
  template <class T>
  void required(std::string_view key, const T& member, std::string_view meaning, std::string_view example) {
    optional(key, member, meaning, example);
  }
  template <class T>
  void optional(std::string_view key, const T& member, std::string_view meaning, std::string_view example) {
    if (key == key_) {
      field.key = key;
      field.title = label_of(key);
      field.meaning = meaning;
      field.example = example;
      shape(field, member);
    }
  }
  Field field;

 private:
  std::string_view key_;
};

/// The keys of a reading in the order of its description, which is the order in which one reads and types.
class KeyOrder {
 public:
  template <class T>
  void required(std::string_view key, const T& /*member*/, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    keys.push_back(key);
  }
  template <class T>
  void optional(std::string_view key, const T& /*member*/, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    keys.push_back(key);
  }
  [[nodiscard]] std::size_t place(std::string_view key) const {
    return static_cast<std::size_t>(std::find(keys.begin(), keys.end(), key) - keys.begin());
  }
  std::vector<std::string_view> keys;
};

/// Which instrument the field `tester` asks for.
void preset_tester(Field& field, ReadingKind kind) {
  switch (kind) {
    case ReadingKind::chamber_fill:
    case ReadingKind::dish_fill:
    case ReadingKind::piston_fill:
      field.title = "Burette";
      field.tools = {ToolKind::burette};
      break;
    case ReadingKind::part_weight:
      field.title = "Scale";
      field.tools = {ToolKind::weighing_scale};
      break;
    case ReadingKind::compression_gauge:
      field.title = "Pressure gauge";
      field.tools = {ToolKind::pressure_gauge};
      break;
    case ReadingKind::bolt_length:
    case ReadingKind::bolt_torque:
      field.title = "Torque wrench";
      field.tools = {ToolKind::torque_wrench};
      break;
    default:
      break;
  }
}

/// What a label, its meaning, its example or a fresh form has otherwise than the document's description.
/// Empty: as described.
struct Wording {
  std::string_view key;
  std::optional<ReadingKind> kind;  ///< none: of every kind
  std::string_view title, meaning, example, preset;
};

constexpr std::array wordings{
    Wording{"depth", ReadingKind::piston_fill, "Piston below the deck",
            "flat of the crown below the deck while it is filled", "0.500 in", ""},
    Wording{"size", ReadingKind::gasket_crush, "Thickness", "", "0.041 in", ""},
    Wording{"size", ReadingKind::gasket_bore, "Diameter", "", "4.100 in", ""},
    Wording{"cylinder", ReadingKind::part_weight, "",
            "cylinder's number; left out: one that was weighed for all", "", ""},
    Wording{"torque", ReadingKind::bolt_length, "", "at which it stood while its length was taken", "", ""},
    Wording{"number", {}, "", "", "", "1"},
    Wording{"stage", {}, "", "", "", "before"},
    Wording{"item", {}, "", "", "", "piston"},
    Wording{"place", {}, "", "", "", "on_axis"},
    Wording{"measured_at", {}, "", "", "", "lifter"},
    Wording{"main", {}, "", "", "", "1"},
    Wording{"piston", ReadingKind::piston_diameter, "", "", "", "1"},
    Wording{"ring", {}, "", "", "", "top"},
    Wording{"gap", ReadingKind::valve_lash, "Lash", "", "0.008 in", ""},
    Wording{"shim", ReadingKind::valve_lash, "Shim in place",
            "shim at the bucket while reading, as the build lists it; left out: the one fitted now",
            "2.68 mm", ""},
    Wording{"shim", ReadingKind::bucket_shim, "Shim in place",
            "shim at the bucket while reading, as the build lists it; left out: the one fitted now",
            "2.68 mm", ""},
    Wording{"diameter", ReadingKind::bore_diameter, "", "", "4.0005 in", ""},
    Wording{"diameter", ReadingKind::piston_diameter, "Diameter at its gauge point", "", "3.9970 in", ""},
    Wording{"along", ReadingKind::bore_diameter, "Depth below the deck", "", "", ""},
    Wording{"along", {}, "Place from the front end", "", "0.20 in", ""},
    Wording{"gap", ReadingKind::film_strip, "Clearance by the strip", "", "0.0020 in", ""},
    Wording{"gap", ReadingKind::end_play, "End play", "", "0.006 in", ""},
    Wording{"gap", ReadingKind::rod_side, "Side clearance", "", "0.014 in", ""},
    Wording{"gap", ReadingKind::ring_gap, "End gap", "", "0.018 in", ""},
    Wording{"gap", ReadingKind::ring_side, "Side clearance", "", "0.0020 in", ""},
    Wording{"gap", ReadingKind::clay, "Clay left", "least thickness of the clay", "", ""},
    Wording{"height", ReadingKind::solid_height, "Height, coils touching", "", "1.090 in", ""},
    Wording{"drop", ReadingKind::valve_drop, "Valve down to the piston",
            "along the stem, from its seat until it touches", "0.180 in", ""},
    Wording{"lift", ReadingKind::lobe_top, "Greatest lift", "greatest lift above the base circle", "0.300 in",
            ""},
    Wording{"points", ReadingKind::tdc_sweep, "Wheel and height",
            "pairs of wheel and piston height in the order taken", "", ""},
};

void word_as_read(Field& field, ReadingKind kind) {
  const auto found = std::find_if(wordings.begin(), wordings.end(), [&](const Wording& one) {
    return one.key == field.key && one.kind.value_or(kind) == kind;
  });
  if (found == wordings.end()) {
    return;
  }
  const auto put = [](std::string& text, std::string_view other) {
    if (!other.empty()) {
      text = other;
    }
  };
  put(field.title, found->title);
  put(field.meaning, found->meaning);
  put(field.example, found->example);
  put(field.preset, found->preset);
}

/// What a fresh form holds, and what comes in pairs.
void preset(Field& field, ReadingKind kind) {
  if (field.key == "tester") {
    preset_tester(field, kind);
  }
  word_as_read(field, kind);
  if (field.key == "cylinder" && field.required) {
    field.preset = "1";
  } else if (field.key == "valve") {
    const bool lobe =
        kind == ReadingKind::lobe_point || kind == ReadingKind::lobe_top || kind == ReadingKind::lobe_sweep;
    field.title = lobe ? "Lobe" : "Valve";
    field.meaning = lobe ? "whose lobe" : "intake or exhaust valve";
    if (field.required) {
      field.preset = "intake";
    } else {
      field.meaning += "; left out: a part of the crank, or one alike for both";
    }
  } else if (field.key == "measured_at") {
    field.preset = "lifter";
  } else if (field.key == "turning" && kind != ReadingKind::tdc_drop) {
    field.preset = "forward";
    field.alternates = kind == ReadingKind::stop_contact;
  } else if (field.key == "side") {
    field.preset = field.choices.empty() ? "" : field.choices.front().value;
    field.alternates = true;
    field.title = kind == ReadingKind::tdc_drop ? "Side of TDC" : "Flank";
  }
}

Field field_of(const build::ReadingRule& rule, std::string_view key, bool required) {
  FieldFinder finder(key);
  Reading reading;
  describe(finder, reading);
  if (finder.field.key.empty()) {
    throw std::invalid_argument("reading_form: a rule names a field the document does not have: " +
                                std::string(key));
  }
  Field field = std::move(finder.field);
  field.required = required;
  if (key == "side" && !rule.sides.empty()) {
    std::erase_if(field.choices, [&](const Choice& choice) {
      return std::none_of(rule.sides.begin(), rule.sides.end(),
                          [&](build::Side side) { return build::word(side) == choice.value; });
    });
  }
  preset(field, rule.kind);
  return field;
}

}  // namespace

ReadingForm reading_form(ReadingKind kind) {
  const build::ReadingRule& rule = build::rule_for(kind);
  ReadingForm form{kind, std::string(label_of(kind)), {}, {}, {}, false};
  for (const auto& named : build::names(ReadingKind{})) {
    if (named.value == kind) {
      form.meaning = named.meaning;
    }
  }
  const auto add = [&](const std::vector<std::string_view>& keys, bool required) {
    for (const auto key : keys) {
      form.fields.push_back(field_of(rule, key, required));
    }
  };
  add(rule.required, true);
  add(rule.one_of, false);
  KeyOrder order;
  Reading reading;
  describe(order, reading);
  std::stable_sort(form.fields.begin(), form.fields.end(),
                   [&](const Field& a, const Field& b) { return order.place(a.key) < order.place(b.key); });
  add(rule.optional, false);
  form.one_of.assign(rule.one_of.begin(), rule.one_of.end());
  // A reading of a bearing is of a main or of a rod, never of both.
  form.exclusive = kind == ReadingKind::lobe_point ||
                   std::find(rule.one_of.begin(), rule.one_of.end(), "main") != rule.one_of.end();
  return form;
}

}  // namespace fettle::stations
