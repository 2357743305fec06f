#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "build/types.h"

/// What is said of the stations to the person at the bench, and which readings they take: one text for the
/// page, the record and the terminal.
namespace fettle::stations {

/// What a field of a reading holds, so that a form can be made for it.
enum class FieldType {
  wheel,
  wheel_list,
  angle,
  length,
  cylinder,
  choice,
  tool,
  position,
  count,
  text,
  points,
  force,
  number,
  measure_list,

  volume,
  mass,
  pressure,
  torque,
  temperature
};

std::string_view word(FieldType type);

struct Choice {
  std::string value;
  std::string title;
};

struct Field {
  std::string key;    ///< in the document
  std::string title;  ///< as a label has it
  FieldType type = FieldType::text;
  std::string meaning;  ///< as the schema has it
  std::string example;
  std::string preset;  ///< what a fresh form holds; empty: nothing
  bool required = false;
  bool alternates = false;  ///< taken in pairs: after one value comes the other
  std::vector<Choice> choices = {};
  std::vector<build::ToolKind> tools = {};  ///< kinds of instrument that fit
};

/// One kind of reading with the fields of build::rule_for, those of the document's description.
struct ReadingForm {
  build::ReadingKind kind;
  std::string title;
  std::string meaning;
  std::vector<Field> fields;  ///< in the order of typing: those needed first, then those that may be left out
  std::vector<std::string> one_of;  ///< at least one of these is needed
  bool exclusive = false;           ///< and only one is meant
};

struct Station {
  std::string_view id;  ///< the part of a finding's id before the point
  std::string_view title;
  std::string_view purpose;
  std::vector<std::string_view> how;  ///< short steps, in order
  std::vector<std::string_view> cautions;
  std::vector<build::ReadingKind> kinds;   ///< in the order in which they are offered
  std::vector<std::string_view> headline;  ///< ids of the findings that answer the station's question
};

/// In the order of the work.
std::span<const Station> stations();

ReadingForm reading_form(build::ReadingKind kind);

}  // namespace fettle::stations
