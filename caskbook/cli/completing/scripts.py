"""`caskbook completion bash|zsh|fish`: the script that a shell reads once; what may follow it asks of `caskbook completion words`."""

from __future__ import annotations

import sys

HELP = (
    "caskbook completion bash|zsh|fish\n"
    "  prints what the shell needs to complete commands, options, jobs, casks, crew,\n"
    "  stores and berths, places on a cask and defects with the Tab key; once:\n"
    "  bash  echo 'source <(caskbook completion bash)' >> ~/.bashrc\n"
    "  zsh   echo 'source <(caskbook completion zsh)' >> ~/.zshrc\n"
    "  fish  caskbook completion fish > ~/.config/fish/completions/caskbook.fish"
)
BASH = r"""# Completion of caskbook in bash.
_caskbook() {
    local word kind=
    COMPREPLY=()
    while IFS= read -r word; do
        if [[ -z $kind ]]; then kind=$word; continue; fi
        word=${word%%$'\t'*}
        if [[ $word == *[!A-Za-z0-9_./,:=+@%-]* ]]; then printf -v word %q "$word"; fi
        COMPREPLY+=("$word")
    done < <("${COMP_WORDS[0]}" completion words "${COMP_WORDS[@]:0:COMP_CWORD+1}" 2>/dev/null)
    if [[ $kind == files ]]; then
        compopt -o default
    elif [[ $kind == open ]]; then
        compopt -o nospace
    fi
}
complete -F _caskbook caskbook
"""
ZSH = r"""#compdef caskbook
# Completion of caskbook in zsh.
_caskbook() {
    local line kind=
    local -a found shown
    for line in "${(@f)$("${words[1]}" completion words "${(@)words[1,CURRENT]}" 2>/dev/null)}"; do
        if [[ -z $kind ]]; then kind=$line; continue; fi
        found+=("${line%%$'\t'*}")
        shown+=("${line/$'\t'/  }")
    done
    case $kind in
        files) _files ;;
        open) compadd -S '' -d shown -a found ;;
        *) compadd -d shown -a found ;;
    esac
}
if [[ ${funcstack[1]} == _caskbook ]]; then
    _caskbook "$@"
else
    (( $+functions[compdef] )) || { autoload -Uz compinit && compinit; }
    compdef _caskbook caskbook
fi
"""
FISH = r"""# Completion of caskbook in fish.
function __caskbook_words
    set -l before (commandline -opc)
    set -l now (commandline -ct)
    set -l found ($before[1] completion words $before "$now" 2>/dev/null)
    if test "$found[1]" = files
        __fish_complete_path "$now"
    else if set -q found[2]
        printf '%s\n' $found[2..-1]
    end
end
complete -c caskbook -f -k -a '(__caskbook_words)'
"""
_SCRIPTS = {"bash": BASH, "zsh": ZSH, "fish": FISH}


def run(words: list[str]) -> int:
    """Print a script, its help, or the words that may follow. 2 where no shell is named that is known."""
    if words[:1] == ["words"]:
        from caskbook.cli.completing.words import answer

        if reconfigure := getattr(sys.stdout, "reconfigure", None):
            reconfigure(encoding="utf-8", errors="surrogateescape")  # A shell compares bytes with those of its line.
        sys.stdout.write(answer(words[1:]))
        return 0
    if words[:1] in (["--help"], ["-h"]) or not words:
        sys.stdout.write(HELP + "\n")
        return 0 if words else 2
    if len(words) != 1 or words[0] not in _SCRIPTS:
        from caskbook.core.finding import CaskbookError

        shown = "".join(sign if sign.isprintable() else "?" for sign in words[0][:20])
        raise CaskbookError(f"completion {shown}: expected bash, zsh or fish")
    sys.stdout.write(_SCRIPTS[words[0]])
    return 0
