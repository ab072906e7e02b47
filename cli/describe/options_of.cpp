#include <algorithm>

#include "describe.h"

namespace batten::cli {
namespace {

std::string one_line(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

Described described(const CLI::Option& option) {
  Described entry;
  for (const std::string& name : option.get_snames()) entry.names.push_back("-" + name);
  for (const std::string& name : option.get_lnames()) entry.names.push_back("--" + name);
  const bool flag = option.get_items_expected_max() == 0;
  if (!flag) entry.value = option.nonpositional() ? option.get_type_name() : option.get_name(true);
  entry.text = one_line(option.get_description());
  entry.repeated = option.get_items_expected_max() > 1;
  return entry;
}

}  // namespace

std::vector<Described> options_of(const CLI::App& app) {
  std::vector<Described> found;
  for (const CLI::Option* option : app.get_options()) found.push_back(described(*option));
  std::stable_partition(found.begin(), found.end(), [](const Described& entry) { return entry.names.empty(); });
  return found;
}

}  // namespace batten::cli
