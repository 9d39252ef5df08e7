"""Words typed at the command line that cannot be taken: what, and what would be accepted, in our own words."""

import re
from typing import TYPE_CHECKING

import typer

from validator.language.slips import nearest

if TYPE_CHECKING:
    from typer.core import TyperArgument, TyperOption

TypingFault: type[Exception] = typer.BadParameter.__mro__[1]  # the library's own name for whatever was typed amiss
NO_COMMAND = re.compile(r"No such command '?(.+?)'?\.? ?(?:Did you mean .*)?")
TOO_MANY = re.compile(r".*unexpected extra arguments?(?:\(s\))? \((.*)\)")


def slip_in_words(slip: Exception) -> str:
    """What one slip is said as: in one line, with the nearest of what would be accepted first."""
    ctx = slip.ctx
    if ctx is None:
        return f"what was typed cannot be taken. {_accepted('', ('validator --help',))}"
    command = " ".join(["validator", *ctx.command_path.split(" ")[_program_words(ctx):]])
    usage = " ".join([command, *ctx.command.collect_usage_pieces(ctx)])
    name = getattr(slip, "option_name", "")
    option = next((p for p in ctx.command.get_params(ctx) if name in (*p.opts, *p.secondary_opts)), None)
    if option is not None:
        if getattr(option, "is_flag", False):
            return f"`{name}` takes no value. {_accepted('', (f'`{name}` alone',))}"
        return f"`{name}` needs a value after it. {_accepted('', (_kind_of(option),))}"
    if name:
        options = sorted(opt for p in ctx.command.get_params(ctx) for opt in p.opts if opt.startswith("--"))
        return f"`{command}` has no option `{name}`. {_accepted(name, options)}"
    param = getattr(slip, "param", None)
    if param is not None:
        return f"`{command}` needs {_called(param)}. {_accepted('', (usage,))}"
    if found := NO_COMMAND.fullmatch(str(slip.message)):
        return f"`{command}` has no command `{found[1]}`. {_accepted(found[1], ctx.command.list_commands(ctx))}"
    if found := TOO_MANY.fullmatch(str(slip.message)):
        return f"`{command}` takes nothing more after its own words: `{found[1]}`. {_accepted('', (usage,))}"
    return f"`{command}` cannot take what was typed. {_accepted('', (usage,))}"


def unfit(param: "TyperArgument | TyperOption", value: object) -> str:
    """A value that is not of the kind its option takes."""
    return f"`{_called(param)} {value}` cannot be taken. {_accepted('', (_kind_of(param),))}"


def _program_words(ctx: typer.Context) -> int:
    """How many words the program itself was called by, as in `python -m validator`."""
    return len(ctx.find_root().command_path.split(" "))


def _called(param: "TyperArgument | TyperOption") -> str:
    option = next((opt for opt in param.opts if opt.startswith("-")), "")
    return option or (param.metavar or param.name.upper()).strip("[].")


def _kind_of(param: "TyperArgument | TyperOption") -> str:
    """What an option takes: a whole number with its ends, or what its help says."""
    least, greatest = (getattr(param, end, None) or getattr(getattr(param, "type", None), end, None) for end in ("min", "max"))
    if least is not None or greatest is not None:
        return f"a whole number{'' if least is None else f' from {least}'}{'' if greatest is None else f' to {greatest}'}"
    return " ".join((getattr(param, "help", "") or "a value").split()).rstrip(".")


def _accepted(typed: str, accepted: "list[str] | tuple[str, ...]") -> str:
    near = nearest(typed, accepted) if typed else None
    return "Accepted: " + (f"did you mean `{near}`? " if near else "") + ", ".join(accepted)
