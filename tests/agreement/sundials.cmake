# KINSOL and KLU: include folders and libraries (`sundials`). Found by hand: the packaged configuration asks for every
# library that any part of it may use.
find_path(SUNDIALS_INCLUDE kinsol/kinsol.h REQUIRED)
find_path(KLU_INCLUDE klu.h PATH_SUFFIXES suitesparse REQUIRED)
set(sundials "")
foreach(part kinsol nvecserial sunmatrixsparse sunlinsolklu)
  find_library(SUNDIALS_${part} sundials_${part} REQUIRED)
  list(APPEND sundials ${SUNDIALS_${part}})
endforeach()
