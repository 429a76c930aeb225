#!/usr/bin/env bash
# A fresh clone, the lowest version of every library that pyproject.toml allows, and the README's tests on them.
set -euo pipefail
cd "$(dirname "$0")/../.."
export PIP_DISABLE_PIP_VERSION_CHECK=1 PYTHONDONTWRITEBYTECODE=1

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
git clone -q . "$folder/stillwall"
cd "$folder/stillwall"
"$(command -v python3.11 || command -v python3)" -m venv .venv
.venv/bin/pip install -q -c tests/constraints/lowest.txt -e '.[test]'
.venv/bin/pytest -n auto
