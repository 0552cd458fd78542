"""What of ``calc`` the program reaches, read from the source: from every line of the journal, name by name.

A name counts as used where a definition that is itself reached mentions it. A method or property counts where anything
that is reached mentions an attribute of that name, which may let one pass that is not used, but never the reverse.
"""

import ast
from collections import defaultdict


class Module:
    """Definitions of one module, and what its names stand for."""

    def __init__(self, name, tree):
        self.name, self.defs, self.alias = name, {}, {}
        for node in tree.body:
            for key in _named(node):
                self.defs[key] = node
            if isinstance(node, ast.ClassDef):
                self.defs |= {f"{node.name}.{m.name}": m for m in node.body if isinstance(m, ast.FunctionDef)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                self.alias |= {a.asname or a.name.split(".")[0]: a.name if a.asname else a.name.split(".")[0]
                               for a in node.names}  # fmt: skip
            elif isinstance(node, ast.ImportFrom):
                self.alias |= {a.asname or a.name: f"{node.module}.{a.name}" for a in node.names}
        self.loose = [n for n in tree.body if not _named(n) and not isinstance(n, ast.Import | ast.ImportFrom)]


def _named(node):
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    return [n.id for t in targets for n in ast.walk(t) if isinstance(n, ast.Name)]


class Reached:
    """Definitions that are reached from the roots."""

    def __init__(self, sources):
        self.modules = {name: Module(name, ast.parse(text)) for name, text in sources.items()}
        self.seen, self.attributes, self._found, self._todo = set(), set(), set(), []
        for module in self.modules.values():
            if module.name.split(".")[0] != "calc":
                self._todo += [(module.name, key) for key in module.defs]
            for node in module.loose:
                self._look(module, node)
        while self._todo or self._methods():
            self._follow(self._todo.pop())

    def _follow(self, place):
        if place in self.seen:
            return
        self.seen.add(place)
        module, key = self.modules[place[0]], place[1]
        node = module.defs[key]
        if not isinstance(node, ast.ClassDef):
            self._look(module, node)
            return
        for part in [*node.bases, *node.keywords, *node.decorator_list, *node.body]:
            if not isinstance(part, ast.FunctionDef):
                self._look(module, part)
            elif part.name.startswith("__"):
                self._todo.append((module.name, f"{key}.{part.name}"))

    def _look(self, module, node):
        for n in ast.walk(node):
            if isinstance(n, ast.Name):
                self._mention(module, n.id)
            elif isinstance(n, ast.Attribute):
                self.attributes.add(n.attr)
                if isinstance(n.value, ast.Name) and n.value.id in module.alias:
                    self._find(f"{module.alias[n.value.id]}.{n.attr}")

    def _mention(self, module, name):
        if name in module.defs:
            self._todo.append((module.name, name))
        elif name in module.alias:
            self._find(module.alias[name])

    def _find(self, full):
        module, _, name = full.rpartition(".")
        if module in self.modules and full not in self._found:
            self._found.add(full)
            self._mention(self.modules[module], name)

    def _methods(self):
        """Methods of classes that are reached whose name has been mentioned by now."""
        found = [
            (m.name, key) for m in self.modules.values() for key in m.defs
            if "." in key and (m.name, key) not in self.seen and (m.name, key.split(".")[0]) in self.seen
            and key.split(".")[1] in self.attributes
        ]  # fmt: skip
        self._todo += found
        return bool(found)

    def not_reached(self):
        """Public functions, classes, methods and constants of ``calc`` that are not, by module."""
        missing = defaultdict(list)
        for m in self.modules.values():
            for key in m.defs if m.name.split(".")[0] == "calc" else ():
                private = key.startswith("_") or "._" in key or key.split(".")[0] in missing[m.name]
                if (m.name, key) not in self.seen and not private:
                    missing[m.name].append(key)
        return sorted(f"{module}.{key}" for module, keys in missing.items() for key in keys)
