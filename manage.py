#!/usr/bin/env python3
"""Run Clothlight: python3 manage.py demo | serve | test | any Django command.

The first use builds .venv beside this file and installs what the project needs into it; every
use then goes on with that Python. Only the standard library is used until then, and the syntax
stays old enough for an outdated Python to reach the sentence that asks for a newer one.
"""

import os
import subprocess
import sys

# numpy 2.4.6 asks for 3.11 at least. PyPI has wheels of all pins for 3.11 to 3.14; for 3.15 it has
# none of numpy 2.4.6 and scipy 1.17.1 (pip download --only-binary=:all: --python-version 3.15).
OLDEST, NEWEST = (3, 11), (3, 14)
HERE = os.path.dirname(os.path.abspath(__file__))
VENV = os.path.join(HERE, ".venv")
STAMP = os.path.join(VENV, "installed")
# What releases up to 0.5.0 installed for everybody; its wheels are under the GPL.
LEFT_BEHIND = ("pillow_heif",)


def main():
    refuse_other_pythons()
    arguments = sys.argv[1:]
    wanted = requirements(extras(arguments))
    if not is_satisfied(wanted):
        build(wanted)
        hand_over(venv_python(), [os.path.abspath(__file__)] + arguments)
    if arguments[:1] == ["test"]:
        os.chdir(HERE)
        hand_over(sys.executable, ["-m", "pytest"] + arguments[1:])
    choose_settings(arguments)
    # A service reads what is said through a pipe, which Python would fill before it lets go.
    sys.stdout.reconfigure(line_buffering=True)
    run()


def run():
    """Hand over to Django; what stands in the way of every command gets one sentence."""
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line
    from django.db import DatabaseError

    from stash.keeping.refusals import NotReadyError

    try:
        execute_from_command_line(sys.argv)
    except (ImproperlyConfigured, NotReadyError) as error:
        sys.exit(str(error))
    except DatabaseError as error:
        from stash.keeping.state import explain

        sys.exit(explain(error))


def refuse_other_pythons():
    here = tuple(sys.version_info[:2])
    if not OLDEST <= here <= NEWEST:
        sys.exit(
            "Clothlight needs Python {}.{} to {}.{}; this is Python {}.{}. "
            "Install one of those and start it by its name, such as: "
            "python{}.{} manage.py".format(*(OLDEST + NEWEST + here + NEWEST))
        )


def extras(arguments):
    """Return which optional groups of dependencies this command needs."""
    names = []
    if arguments[:1] == ["test"]:
        # The tests start the site on PostgreSQL's addresses as well; none of them may install.
        return ["test", "postgres"]
    url = os.environ.get("DATABASE_URL", "").strip()
    if url.startswith("postgres") and arguments[:1] != ["demo"]:
        names.append("postgres")
    return names


def requirements(names):
    """Return the pinned dependencies from pyproject.toml, those of the named extras included."""
    told = project()
    wanted = list(told["dependencies"])
    for name in names:
        wanted += told["optional-dependencies"][name]
    return wanted


def project():
    """Return what pyproject.toml tells of the project."""
    import tomllib

    with open(os.path.join(HERE, "pyproject.toml"), "rb") as file:
        return tomllib.load(file)["project"]


def is_satisfied(wanted):
    """Return whether the Python that runs now has every dependency in its pinned version.

    The stamp of .venv is believed without looking further, to start quickly.
    """
    from importlib.metadata import PackageNotFoundError, version

    if is_same_folder(sys.prefix, VENV) and stamped():
        return set(wanted) <= set(stamped())
    try:
        return all(version(name) == pin for name, pin in map(split, wanted))
    except PackageNotFoundError:
        return False


def split(requirement):
    """Return name and version of a line such as psycopg[binary]==3.3.9."""
    name, pin = requirement.split("==")
    return name.split("[")[0], pin


def stamped():
    """Return the dependencies that were installed to the end."""
    try:
        with open(STAMP, encoding="utf-8") as file:
            return file.read().splitlines()
    except OSError:
        return []


def build(wanted):
    """Make .venv ready for these dependencies; do nothing when it is.

    The stamp is written after everything else. Without it an installation was interrupted and
    may have left half a package behind, so the environment is made anew.
    """
    with only_one_at_a_time():
        is_sound = bool(stamped()) and works()
        if is_sound and set(wanted) <= set(stamped()):
            return
        if not is_sound and not is_same_folder(sys.prefix, VENV):
            make_venv()
        install(wanted)


def make_venv():
    import venv

    say("Making a Python environment in {} (once) ...".format(VENV))
    if not os.access(HERE, os.W_OK):
        sys.exit(
            "You may not write to {}, where Clothlight keeps what it installs. Copy it to a folder "
            "of your own and start it there; STASH_DATA can name another folder for your "
            "stash.".format(HERE)
        )
    try:
        import ensurepip  # noqa: F401  (Debian leaves it out, and venv then fails half-way)

        # On its own path and not through a link, so that pip's programs find their Python.
        venv.EnvBuilder(clear=True, with_pip=True, symlinks=os.name != "nt").create(VENV)
    except OSError as error:
        sys.exit("The environment could not be made in {}: {}".format(VENV, error))
    except (ImportError, subprocess.CalledProcessError) as error:
        sys.exit(
            "The environment could not be made: {}\n"
            "On Debian and Ubuntu, Python's venv is a package of its own: "
            "apt install python3-venv (or python{}.{}-venv), then start again.".format(
                error, *sys.version_info[:2]
            )
        )


def install(wanted):
    """Install with pip, then stamp. An earlier stamp goes first; extras that it names stay."""
    from stash.system.installing import by_hash, thin_out

    base, before = set(requirements([])), {split(line)[0] for line in stamped()}
    optional = project()["optional-dependencies"]
    extras = {name: set(optional[name]) - base for name in optional}
    for pins in extras.values():
        # Earlier releases had other pins, and a package of theirs may be a test's by now.
        if 2 * len(before & {split(pin)[0] for pin in pins}) > len(pins):
            wanted = base | set(wanted) | pins
    everything = sorted(wanted)
    gone = before & set(LEFT_BEHIND) - {split(line)[0] for line in everything}
    if os.path.exists(STAMP):
        os.remove(STAMP)
    say("Installing what it needs; the first time takes a minute or two ...")
    command = [venv_python(), "-m", "pip", "install", "--no-input", "--disable-pip-version-check"]
    lines = by_hash(os.path.join(HERE, ".constraints.txt"), everything, extras)
    if lines is None:
        say("(By their versions alone: .constraints.txt does not cover this system and Python.)")
        command += everything
    else:
        wanted_file = os.path.join(VENV, "wanted.txt")
        with open(wanted_file, "w", encoding="utf-8") as file:
            file.write(lines)
        command += ["--require-hashes", "--only-binary=:all:", "-r", wanted_file]
    plain = dict(os.environ, PIP_USER="0")
    if call_quietly(command, cwd=HERE, env=plain) != 0:
        sys.exit(
            "The packages could not be installed (see above). Is this computer online? "
            "Start again when it is. If hashes do not match, whoever offers the packages offers "
            "other files than this release was tested with; to trust them all the same, move "
            ".constraints.txt away."
        )
    if gone:
        pip = [venv_python(), "-m", "pip", "uninstall", "--yes", "--quiet"]
        call_quietly(pip + sorted(gone), cwd=HERE, env=plain)
    thin_out(VENV)
    part = STAMP + ".part"
    with open(part, "w", encoding="utf-8") as file:
        file.write("\n".join(everything) + "\n")
    os.replace(part, STAMP)
    say("Installed.")


def call_quietly(command, **options):
    """Run a child to its end. Ctrl-C ends it too, without words of its own."""
    import signal

    if os.name != "nt":
        options["preexec_fn"] = lambda: signal.signal(signal.SIGINT, signal.SIG_IGN)
    return subprocess.call(command, **options)


def only_one_at_a_time():
    """Return a context in which no second start installs at the same moment (not on Windows)."""
    file = open(os.path.abspath(__file__))
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX)
    except (ImportError, OSError):
        pass
    return file


def choose_settings(arguments):
    """Tell Django where its settings lie; the demo never sees a real stash."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")
    if arguments[:1] == ["demo"]:
        folder = os.environ.get("STASH_DEMO_DATA", "").strip() or os.path.join(HERE, "demo-data")
        os.environ["STASH_DATA"] = folder
        os.environ["STASH_DEMO"] = "1"
        os.environ.pop("DATABASE_URL", None)


def venv_python():
    if os.name == "nt":
        return os.path.join(VENV, "Scripts", "python.exe")
    return os.path.join(VENV, "bin", "python")


def works():
    """Return whether the Python of .venv runs at all (a system upgrade can break it)."""
    try:
        return subprocess.call([venv_python(), "-c", ""], stderr=subprocess.DEVNULL) == 0
    except OSError:
        return False


def hand_over(python, arguments):
    """Go on with this Python in place of the present one, so that Ctrl-C reaches it alone."""
    sys.stdout.flush()
    if os.name == "nt":
        sys.exit(subprocess.call([python] + arguments))
    os.execv(python, [python] + arguments)


def is_same_folder(first, other):
    try:
        return os.path.samefile(first, other)
    except OSError:
        return False


def say(text):
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    try:
        main()
    except KeyboardInterrupt:
        sys.stderr.write("\nEnded by Ctrl-C.\n")
        sys.exit(130)
