#!/bin/sh
# Makes the Debian packages of a shared build, installs them with apt in a clean root that has never seen batten or a
# compiler, and traces the demo there. Called by ctest: packages.sh SOURCE BUILD WORK. Exit status 77 says that it could
# not be tried.
set -eu
source=$1 build=$2 work=$3
mkdir -p "$work"
rm -rf "$work/deb" "$work/out"
(cd "$build" && cpack -G DEB -B "$work/deb" >/dev/null)
ls "$work/deb"/*.deb

[ "$(id -u)" -eq 0 ] || { echo "A clean root needs root."; exit 77; }
. /etc/os-release
site=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' 'Component: main' | grep -m1 '/debian/*$') ||
  { echo "No Debian mirror among apt's sources."; exit 77; }
root=$work/root
if [ ! -e "$root/done" ]; then
  rm -rf "$root"
  debootstrap --variant=minbase "$VERSION_CODENAME" "$root" "$site" >"$work/debootstrap.log" 2>&1 ||
    { tail -5 "$work/debootstrap.log"; echo "debootstrap could not make a clean root."; exit 77; }
  touch "$root/done"
fi
mkdir -p "$root/packages"
rm -f "$root/packages"/*
cp "$work/deb"/*.deb "$root/packages"
in_root() { env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin DEBIAN_FRONTEND=noninteractive chroot "$root" "$@"; }
in_root sh -c 'apt-get update -q && apt-get install -y -q --no-install-recommends --reinstall /packages/*.deb' \
  >"$work/install.log" 2>&1 || { tail -20 "$work/install.log"; exit 1; }
in_root sh -c 'dpkg -l | grep batten'
! in_root sh -c 'command -v c++ || command -v cmake'

cp "$source/data/quombe-sheet.png" "$root/packages/"
in_root batten trace /packages/quombe-sheet.png --tolerance auto \
  --out /packages/quombe.svg --overlay /packages/quombe.png
# The same bytes as where it was built.
"$build/cli/batten" trace "$source/data/quombe-sheet.png" --tolerance auto --out "$work/quombe.svg" --quiet
cmp "$root/packages/quombe.svg" "$work/quombe.svg"
in_root python3 -c "
import batten
scan = batten.read_picture('/packages/quombe-sheet.png')
traced = batten.convert(scan.pixels, tolerance_px=None, dpi=scan.dpi)
batten.write_file('/packages/python.svg', batten.to_svg(traced.drawing, title='quombe-sheet'))
print(batten.__version__, traced)"
cmp "$root/packages/python.svg" "$work/quombe.svg"
echo "The packages install, and the demo comes out the same."
