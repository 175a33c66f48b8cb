# What both scripts need: the packages, and how they are installed. Sourced by cases/demo.sh and tests/run.sh.
# Packages are those of Debian 12; on anything else install their like by hand first.

# To build the program.
build_packages="g++ cmake ninja-build ccache dpkg-dev file libeigen3-dev libboost-graph-dev libcli11-dev
    libtomlplusplus-dev nlohmann-json3-dev libfmt-dev libhwy-dev libxlsxwriter-dev libzip-dev coinor-libclp-dev"
# To test it: the test runner, and the general-purpose libraries that the answers are checked against;
# a browser that looks at reports.
test_packages="libgtest-dev libbenchmark-dev python3 python3-numpy python3-scipy python3-fluids python3-iapws
    python3-openpyxl python3-icalendar python3-shapely python3-geojson python3-geographiclib libsundials-dev
    libsuitesparse-dev locales chromium chromium-driver python3-selenium poppler-utils"
# To fuzz it, and to look over the source.
clang_packages="clang-14 libclang-rt-14-dev clang-tidy-14"

as_root() {
    if [ "$(id -u)" = 0 ]; then
        "$@"
    elif command -v sudo >/dev/null; then
        sudo "$@"
    else
        echo "Not root and no sudo here: as root run  $*" >&2
        return 1
    fi
}

# install_missing PACKAGE...: asks the network only if something is missing.
install_missing() {
    local missing=() package
    for package in "$@"; do
        dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null | grep -q '^installed' || missing+=("$package")
    done
    [ ${#missing[@]} = 0 ] && return 0
    echo "Installing: ${missing[*]}" >&2
    as_root apt-get update -q >&2
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${missing[@]}" >&2
}

# configure FOLDER TYPE [CMAKE OPTION...]
configure() {
    local folder=$1 type=$2
    shift 2
    cmake -S . -B "$folder" -G Ninja -DCMAKE_BUILD_TYPE="$type" -DCMAKE_CXX_COMPILER_LAUNCHER=ccache "$@"
}

# compile FOLDER [TARGET...]: everything where no target is named.
compile() {
    local folder=$1
    shift
    cmake --build "$folder" --parallel "$(nproc)" ${@:+--target "$@"}
}

# build FOLDER TYPE [CMAKE OPTION...]: configures and builds everything into FOLDER.
build() {
    configure "$@"
    compile "$1"
}
