// Writes the completion for bash, see bash(1), "Programmable Completion". The script needs no helper functions of any
// package.

#include <algorithm>

#include "describe.h"

namespace batten::cli {
namespace {

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (c == '|')
      words.emplace_back();
    else
      words.back() += c;
  }
  return words;
}

bool is_word(const std::string& text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= 'a' && c <= 'z'; });
}

// "auto|LENGTH" -> "auto"
std::string words_of(const Described& entry) {
  std::string value = entry.value, words;
  if (value.ends_with(",...")) value.resize(value.size() - 4);
  for (const std::string& word : split(value))
    if (is_word(word)) words += (words.empty() ? "" : " ") + word;
  return words;
}

bool takes_files(const Described& entry) {
  return std::any_of(entry.value.begin(), entry.value.end(), [](char c) { return c >= 'A' && c <= 'Z'; }) &&
         (entry.value.find("FILE") != std::string::npos || entry.value.find("DIR") != std::string::npos ||
          entry.value.find(".svg") != std::string::npos || entry.names.empty());
}

std::string joined(const std::vector<std::string>& names, const char* between) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : between) + name;
  return text;
}

std::string all_names(const CLI::App& app) {
  std::string text;
  for (const Described& entry : options_of(app))
    if (!entry.names.empty()) text += (text.empty() ? "" : " ") + joined(entry.names, " ");
  return text;
}

// What may follow an option, as a branch of `case "$command $previous"`.
std::string branch(const std::string& command, const Described& entry) {
  std::vector<std::string> patterns;
  for (const std::string& name : entry.names) patterns.push_back("'" + command + " " + name + "'");
  const std::string words = words_of(entry);
  std::string action;
  if (takes_files(entry))  // "FILE.html|png|pdf" names endings, not words
    action = "_batten_files; ";
  else if (!words.empty() && entry.value.ends_with(",..."))
    action = "_batten_list '" + words + "'; ";
  else if (!words.empty())
    action = "_batten_words '" + words + "'; ";
  return "    " + joined(patterns, "|") + ") " + action + "return ;;\n";
}

constexpr const char* helpers = R"(_batten_words() {
  COMPREPLY=($(compgen -W "$1" -- "$current"))
}
# A list with commas: completes its last part.
_batten_list() {
  local before=""
  case "$current" in *,*) before="${current%,*}," ;; esac
  compopt -o nospace 2>/dev/null
  COMPREPLY=($(compgen -P "$before" -W "$1" -- "${current##*,}"))
}
_batten_files() {
  local IFS=$'\n'
  compopt -o filenames 2>/dev/null
  COMPREPLY=($(compgen -f -- "$current"))
}
)";

}  // namespace

std::string bash_completion(const CLI::App& app) {
  const auto subcommands = app.get_subcommands([](const CLI::App* sub) { return !sub->get_name().empty(); });
  std::string names, values, options;
  for (const CLI::App* sub : subcommands) {
    names += (names.empty() ? "" : " ") + sub->get_name();
    options += "    " + sub->get_name() + ") options='" + all_names(*sub) + "' ;;\n";
    for (const Described& entry : options_of(*sub))
      if (!entry.names.empty() && !entry.value.empty()) values += branch(sub->get_name(), entry);
  }
  return "# Completion of " + app.get_name() + " for bash. Made from the table that --help shows.\n" + helpers +
         "_batten() {\n"
         "  local current=\"${COMP_WORDS[COMP_CWORD]}\" previous=\"${COMP_WORDS[COMP_CWORD - 1]}\"\n"
         "  local command=\"${COMP_WORDS[1]}\" options=''\n"
         "  COMPREPLY=()\n"
         "  if [ \"$COMP_CWORD\" -le 1 ]; then\n    _batten_words '" +
         names + " " + all_names(app) + "'\n    return\n  fi\n  case \"$command $previous\" in\n" + values +
         "  esac\n  case \"$command\" in\n" + options +
         "  esac\n  case \"$current\" in\n    -*) _batten_words \"$options\" ;;\n    *) _batten_files ;;\n  esac\n}\n"
         "complete -F _batten " +
         app.get_name() + "\n";
}

}  // namespace batten::cli
