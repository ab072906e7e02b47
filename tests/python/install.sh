#!/bin/sh
# Installs the package as a stranger would, into a clean virtual environment and without any index, and runs its tests
# and its examples from there. Called by ctest: install.sh SOURCE WORK PYTHON PROGRAM, PROGRAM being the command batten.
set -eu
source=$1 work=$2 python=$3
export BATTEN_CLI="$4" BATTEN_DATA="$source/data" BATTEN_PYTHON_BUILD="$work/build" PIP_NO_INDEX=1
unset PYTHONPATH
rm -rf "$work"
mkdir -p "$work/elsewhere"
# Debian's packages serve what it is built and used with: setuptools, wheel, pybind11, numpy.
"$python" -m venv --system-site-packages "$work/venv"
"$work/venv/bin/pip" install --no-build-isolation "$source/lib/python" >"$work/pip.log" 2>&1 ||
  { tail -40 "$work/pip.log"; exit 1; }
cd "$work/elsewhere"
python="$work/venv/bin/python"
"$python" -c "import batten, sys; print(batten.__file__); sys.exit(not batten.__file__.startswith('$work/venv'))"
"$python" "$source/tests/python/trace_test.py"
"$python" "$source/tests/python/stubs_test.py"
"$python" "$source/tests/python/memory_test.py"
"$python" "$source/tests/consumer/array_to_svg.py"
grep -q "<path.*Z" ring.svg
"$python" "$source/tests/consumer/notebook.py" "$source/data/quombe-sheet.png" sheet.png
