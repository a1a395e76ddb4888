# Address and undefined-behaviour sanitizers; the first finding ends the test.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG
    "-O1 -g -D_GLIBCXX_ASSERTIONS -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"
    CACHE STRING "")
