# Sourced by the long runs: build_release TARGET builds one program into build-long/.
source cases/setup.sh

build_release() {
    install_missing $build_packages $test_packages
    configure build-long Release -DEVENHEAD_TESTS=ON
    compile build-long "$1"
}
