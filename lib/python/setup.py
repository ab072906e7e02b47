"""Builds the extension through CMake, from the checkout that this folder lies in; pyproject.toml says the rest.

BATTEN_PYTHON_BUILD names the folder that it is built in (build-python in the checkout), BATTEN_CMAKE_ARGS adds
arguments for CMake, separated by blanks. CMake takes ccache where it is installed.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext

HERE = Path(__file__).resolve().parent
SOURCE = HERE.parent.parent
BUILD = Path(os.environ.get("BATTEN_PYTHON_BUILD", SOURCE / "build-python")).resolve()


def version():
    """The one that the project() line of the top CMakeLists.txt names."""
    try:
        return re.search(r"project\(batten VERSION ([0-9.]+)", (SOURCE / "CMakeLists.txt").read_text()).group(1)
    except (OSError, AttributeError):
        sys.exit("lib/python is built from a whole checkout of batten: leave it where it is and install it from there.")


class CMakeBuild(build_ext):
    def build_extension(self, ext):
        folder = BUILD / "cmake"
        target = Path(self.get_ext_fullpath(ext.name)).resolve().parent
        arguments = ["-S", SOURCE, "-B", folder, f"-DPython_EXECUTABLE={sys.executable}", "-DBATTEN_BUILD_PYTHON=ON",
                     "-DBATTEN_BUILD_CLI=OFF", "-DBATTEN_BUILD_TESTS=OFF", "-DBATTEN_BUILD_BENCH=OFF",
                     "-DBATTEN_INSTALL=OFF"]
        if shutil.which("ninja"):
            arguments += ["-G", "Ninja"]
        try:  # an isolated build has pybind11 from its index, elsewhere than CMake looks
            import pybind11
            arguments.append(f"-Dpybind11_DIR={pybind11.get_cmake_dir()}")
        except ImportError:
            pass
        subprocess.run(["cmake", *arguments, *os.environ.get("BATTEN_CMAKE_ARGS", "").split()], check=True)
        jobs = str(os.cpu_count() or 1)
        subprocess.run(["cmake", "--build", folder, "--target", "batten_python", "--parallel", jobs], check=True)
        target.mkdir(parents=True, exist_ok=True)
        for built in (folder / "python" / "batten").glob("_batten*"):
            shutil.copy2(built, target)


BUILD.mkdir(parents=True, exist_ok=True)
setup(version=version(), options={"build": {"build_base": str(BUILD)}, "egg_info": {"egg_base": str(BUILD)}},
      ext_modules=[Extension("batten._batten", sources=[])],
      cmdclass={"build_ext": CMakeBuild})
