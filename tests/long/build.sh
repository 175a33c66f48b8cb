# Sourced by the long runs: build_release TARGET builds one program into build-long/.
source cases/setup.sh

build_release() {
    install_missing $build_packages $test_packages
    cmake -S . -B build-long -G Ninja -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DEVENHEAD_TESTS=ON
    cmake --build build-long --parallel "$(nproc)" --target "$1"
}
