# Everything from here on is built with the sanitizers of the compiler that BATTEN_SANITIZE names, and stops at the
# first thing that one finds. -O1 -g1: fast enough for the tests, with the lines of the code in what is printed. Fuzzing
# is worth a longer build.
add_compile_options($<IF:$<BOOL:${BATTEN_BUILD_FUZZERS}>,-O2,-O1> -g1 -fno-omit-frame-pointer
  -fsanitize=${BATTEN_SANITIZE} -fno-sanitize-recover=all)
add_link_options(-fsanitize=${BATTEN_SANITIZE})
