"""Where git's hooks come in. Whatever fails in the program itself: a bench is let pass and told so, a server takes nothing."""

from __future__ import annotations

import sys

from caskbook.core.quick_start import quick_start

_PASSES = {
    "pre-commit": "the casks of this commit are not checked",
    "pre-merge-commit": "the casks of this merge are not checked",
    "pre-push": "the casks of this push are not checked here; the server decides",
}
_REFUSES = "what cannot be judged is not taken"


def main(hook: str, arguments: list[str]) -> int:
    """Run the check that belongs to one of git's hooks; its exit code."""
    quick_start()
    try:
        return _run(hook, arguments)
    except KeyboardInterrupt:
        return 1
    except Exception as error:
        planted = type(error).__name__ == "PlantedRepositoryError"  # Somebody carried it in, so nothing can be checked.
        from_us = planted or type(error).__name__ == "CaskbookError"
        what = str(error) if from_us else f"a fault of the program itself, {type(error).__name__}: {error}"
        line = "".join(sign if sign.isprintable() else " " for sign in what)
        passes = hook in _PASSES and not planted
        print(f"caskbook: {line}; {_PASSES[hook] if passes else _REFUSES}", file=sys.stderr)
        return 0 if passes else 1


def _run(hook: str, arguments: list[str]) -> int:
    """The exit code of one of git's hooks, of which only its own module is loaded."""
    if hook == "pre-receive":
        from caskbook.cli.hooks.server_gate import main as gate

        return gate()
    if hook == "pre-push":
        from caskbook.cli.hooks.pre_push import main as push

        return push(arguments)
    from caskbook.cli.hooks.pre_commit import main as commit

    return commit(merging=hook == "pre-merge-commit")
