// Signatures that inspect.signature(), help() and editors read.
//
// pybind11 writes a function's signature into its docstring, types and all, where only a person finds it. Python looks
// for "name(self, a, *, b=1)\n--\n\n" there (the format of the C API's docstrings, PEP 436), without types, which the
// stub has. So the first line of every docstring is rewritten once, when the module is loaded; overloaded functions,
// which have no one signature, keep theirs.

#include "python.hpp"

#include <cstdlib>
#include <cstring>
#include <optional>

namespace nockwise::python {

namespace {

/// Parts of an argument list, at the commas that no bracket or string encloses.
std::vector<std::string> split_arguments(std::string_view list) {
  std::vector<std::string> parts(1);
  int depth = 0;
  char quote = '\0';
  for (const char c : list) {
    if (quote != '\0') {
      quote = c == quote ? '\0' : quote;
    } else if (c == '\'' || c == '"') {
      quote = c;
    } else if (c == '(' || c == '[' || c == '{' || c == '<') {
      ++depth;
    } else if (c == ')' || c == ']' || c == '}' || c == '>') {
      --depth;
    } else if (c == ',' && depth == 0) {
      parts.emplace_back();
      continue;
    }
    parts.back() += c;
  }
  for (std::string& each : parts) {
    each.erase(0, each.find_first_not_of(' '));
  }
  return parts;
}

/// "name: type = default" as "name=default"; a default that is no literal as "...".
std::string without_type(const std::string& argument) {
  const std::string name = argument.substr(0, argument.find_first_of(":= "));
  const std::size_t equals = argument.rfind(" = ");
  if (equals == std::string::npos) {
    return name;
  }
  const std::string value = argument.substr(equals + 3);
  const bool literal = value.find_first_of("<@") == std::string::npos;
  return name + "=" + (value == "[]" ? "()" : literal ? value : "...");  // no default that a caller could change
}

/// What Python reads, from pybind11's docstring; none where there is no one signature.
std::optional<std::string> readable(const char* docstring, const std::string& name) {
  const std::string_view text = docstring == nullptr ? "" : docstring;
  const std::size_t line = std::min(text.find('\n'), text.size());
  const std::size_t open = text.find('(');
  const std::size_t close = text.substr(0, line).rfind(") -> ");
  if (!text.starts_with(name + "(") || close == std::string_view::npos ||
      text.find("Overloaded function.") == line + 1) {
    return {};
  }
  std::string list;
  const std::string_view arguments = text.substr(open + 1, close - open - 1);
  for (const std::string& each : arguments.empty() ? std::vector<std::string>{} : split_arguments(arguments)) {
    list += (list.empty() ? "" : ", ") + without_type(each);
  }
  const std::string_view rest = text.substr(std::min(text.size(), text.find_first_not_of('\n', line)));
  return name + "(" + list + ")\n--\n\n" + std::string(rest);
}

/// The function behind a method, with its docstring, which pybind11 allocates with malloc and frees with the function.
PyMethodDef* definition_of(py::handle function) {
  py::handle own = function;
  if (PyInstanceMethod_Check(own.ptr())) {
    own = PyInstanceMethod_GET_FUNCTION(own.ptr());
  }
  return PyCFunction_Check(own.ptr()) ? reinterpret_cast<PyCFunctionObject*>(own.ptr())->m_ml : nullptr;
}

void set_docstring(PyMethodDef& definition, const std::string& text) {
  std::free(const_cast<char*>(definition.ml_doc));
  definition.ml_doc = strdup(text.c_str());
}

void rewrite(py::handle function, const std::string& name) {
  if (PyMethodDef* definition = definition_of(function)) {
    if (const auto text = readable(definition->ml_doc, name)) {
      set_docstring(*definition, *text);
    }
  }
}

/// Arguments of a class that is made from its fields, which are its properties.
std::string field_arguments(const py::dict& members) {
  const py::object property = py::module_::import("builtins").attr("property");
  std::string list;
  for (const auto& [name, member] : members) {
    if (py::isinstance(member, property)) {
      list += ", " + std::string(py::str(name)) + "=...";
    }
  }
  return "(self, *" + list + ")";
}

/// The class's own signature is that of its constructor.
void rewrite_class(py::handle type) {
  const py::dict members = py::reinterpret_borrow<py::dict>(type.attr("__dict__").attr("copy")());
  for (const auto& [name, member] : members) {
    rewrite(member, py::str(name));
  }
  if (!members.contains("__init__")) {
    return;
  }
  const py::object constructor = type.attr("__init__");
  py::object text = constructor.attr("__text_signature__");
  if (text.is_none()) {
    return;
  }
  PyMethodDef* definition = definition_of(constructor);
  if (definition != nullptr && std::string(py::str(text)) == "(self, **kwargs)") {
    set_docstring(*definition, "__init__" + field_arguments(members) + "\n--\n\n");
    text = constructor.attr("__text_signature__");
  }
  std::string arguments = py::str(text);  // "(self, *, a=1)": a class is called without itself
  arguments.erase(1, arguments.starts_with("(self, ") ? 6 : 4);
  const std::string name = py::str(type.attr("__name__"));
  const py::object own = type.attr("__doc__");
  const std::string doc = name + arguments + "\n--\n\n" + (own.is_none() ? "" : std::string(py::str(own)));
  auto* object = reinterpret_cast<PyTypeObject*>(type.ptr());
  auto* memory = static_cast<char*>(PyObject_Malloc(doc.size() + 1));
  std::memcpy(memory, doc.c_str(), doc.size() + 1);
  PyObject_Free(const_cast<char*>(object->tp_doc));
  object->tp_doc = memory;
}

}  // namespace

void make_signatures_readable(py::module_& module) {
  const py::dict members = py::reinterpret_borrow<py::dict>(module.attr("__dict__").attr("copy")());
  for (const auto& [name, member] : members) {
    if (PyType_Check(member.ptr())) {
      rewrite_class(member);
    } else {
      rewrite(member, py::str(name));
    }
  }
}

}  // namespace nockwise::python
