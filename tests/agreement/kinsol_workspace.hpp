// What KINSOL with KLU needs, made in the right order and freed in the other. For the tests and the
// benchmarks.
#pragma once

#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include <cstddef>
#include <stdexcept>
#include <string>

namespace evenhead::agreement {

inline void check_kinsol(int status, const char* what) {
    if (status < 0) throw std::runtime_error(std::string("KINSOL: ") + what);
}

class KinsolWorkspace {
  public:
    struct Limits {
        double residual;      ///< of the scales of the equations
        double least_step;    ///< of the scales of the unknowns
        double longest_step;  ///< likewise
    };

    /// `unknowns` of as many equations, `entries` in their Jacobian, kept by columns. Scales are set by the
    /// caller, as factors. `user` goes to residual and jacobian.
    KinsolWorkspace(std::size_t unknowns, std::size_t entries, KINSysFn residual, KINLsJacFn jacobian,
                    void* user, const Limits& limits) {
        check_kinsol(SUNContext_Create(nullptr, &context_), "context");
        const auto n = static_cast<sunindextype>(unknowns);
        x_ = N_VNew_Serial(n, context_);
        unknown_scale_ = N_VNew_Serial(n, context_);
        equation_scale_ = N_VNew_Serial(n, context_);
        matrix_ = SUNSparseMatrix(n, n, static_cast<sunindextype>(entries), CSC_MAT, context_);
        solver_ = SUNLinSol_KLU(x_, matrix_, context_);
        memory_ = KINCreate(context_);
        check_kinsol(KINInit(memory_, residual, x_), "init");
        check_kinsol(KINSetUserData(memory_, user), "user data");
        check_kinsol(KINSetLinearSolver(memory_, solver_, matrix_), "linear solver");
        check_kinsol(KINSetJacFn(memory_, jacobian), "jacobian");
        check_kinsol(KINSetMaxSetupCalls(memory_, 1), "a new Jacobian each step");
        check_kinsol(KINSetFuncNormTol(memory_, limits.residual), "residual tolerance");
        check_kinsol(KINSetScaledStepTol(memory_, limits.least_step), "step tolerance");
        check_kinsol(KINSetMaxNewtonStep(memory_, limits.longest_step), "longest step");
        check_kinsol(KINSetErrHandlerFn(
                         memory_, [](int, const char*, const char*, char*, void*) {}, nullptr),
                     "messages");
    }
    ~KinsolWorkspace() {
        KINFree(&memory_);
        SUNLinSolFree(solver_);
        SUNMatDestroy(matrix_);
        N_VDestroy(equation_scale_);
        N_VDestroy(unknown_scale_);
        N_VDestroy(x_);
        SUNContext_Free(&context_);
    }
    KinsolWorkspace(const KinsolWorkspace&) = delete;
    KinsolWorkspace& operator=(const KinsolWorkspace&) = delete;

    /// From x(), and into it. KINSOL's status.
    int solve(int strategy) { return KINSol(memory_, x_, strategy, unknown_scale_, equation_scale_); }

    double* x() { return N_VGetArrayPointer(x_); }
    double* unknown_scale() { return N_VGetArrayPointer(unknown_scale_); }
    double* equation_scale() { return N_VGetArrayPointer(equation_scale_); }
    void* memory() { return memory_; }  ///< for what else there is to set and to ask

  private:
    SUNContext context_ = nullptr;
    N_Vector x_, unknown_scale_, equation_scale_;
    SUNMatrix matrix_;
    SUNLinearSolver solver_;
    void* memory_;
};

}  // namespace evenhead::agreement
