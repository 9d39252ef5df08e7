"""What pip-audit knows against the packages of an environment, from its JSON on standard input.

Ends with 1 where a weakness is known, and says where the index of weaknesses could not be asked.
"""

import json
import sys


def main() -> int:
    try:
        packages = json.load(sys.stdin)["dependencies"]
    except (ValueError, KeyError):
        print("pip-audit gave no answer: nothing was audited")
        return 0
    asked = [each for each in packages if "vulns" in each]
    known = [(each["name"], each["version"], weakness["id"]) for each in asked for weakness in each["vulns"]]
    print(f"{len(asked)} of {len(packages)} packages audited, {len(known)} known weaknesses")
    if len(asked) < len(packages):
        print("the others are not told of by the index that is reached from here")
    for name, version, weakness in known:
        print(f"  {name} {version}: {weakness}")
    return 1 if known else 0


if __name__ == "__main__":
    sys.exit(main())
