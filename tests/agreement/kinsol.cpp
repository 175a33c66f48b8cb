#include "tests/agreement/kinsol.hpp"

#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <stdexcept>

namespace evenhead::agreement {
namespace {

constexpr double wanted = 1e-13, accepted = 1e-11;  // residual, of the scales of the equations
constexpr double least_step = 1e-15;                // of the scales of the unknowns
constexpr long most_steps = 400;

void check(int status, const char* what) {
    if (status < 0) throw std::runtime_error(std::string("KINSOL: ") + what);
}

// What KINSOL needs, freed in the right order.
class Workspace {
  public:
    explicit Workspace(const Equations& equations) : equations_(equations) {
        const auto n = static_cast<sunindextype>(equations.size());
        const auto entries = static_cast<sunindextype>(equations.pattern().row.size());
        check(SUNContext_Create(nullptr, &context_), "context");
        x_ = N_VNew_Serial(n, context_);
        unknown_scale_ = N_VNew_Serial(n, context_);
        equation_scale_ = N_VNew_Serial(n, context_);
        matrix_ = SUNSparseMatrix(n, n, entries, CSC_MAT, context_);
        solver_ = SUNLinSol_KLU(x_, matrix_, context_);
        memory_ = KINCreate(context_);
        set_inverse(unknown_scale_, equations.unknown_scale());
        set_inverse(equation_scale_, equations.equation_scale());
        check(KINInit(memory_, residual, x_), "init");
        check(KINSetUserData(memory_, this), "user data");
        check(KINSetLinearSolver(memory_, solver_, matrix_), "linear solver");
        check(KINSetJacFn(memory_, jacobian), "jacobian");
        check(KINSetMaxSetupCalls(memory_, 1), "a new Jacobian each step");
        check(KINSetFuncNormTol(memory_, wanted), "residual tolerance");
        check(KINSetScaledStepTol(memory_, least_step), "step tolerance");
        check(KINSetNumMaxIters(memory_, most_steps), "iterations");
        check(KINSetMaxNewtonStep(memory_, 1e6), "longest step");
        check(KINSetPrintLevel(memory_, 0), "print level");
        check(KINSetErrHandlerFn(
                  memory_, [](int, const char*, const char*, char*, void*) {}, nullptr),
              "messages");
    }
    ~Workspace() {
        KINFree(&memory_);
        SUNLinSolFree(solver_);
        SUNMatDestroy(matrix_);
        N_VDestroy(equation_scale_);
        N_VDestroy(unknown_scale_);
        N_VDestroy(x_);
        SUNContext_Free(&context_);
    }
    Workspace(const Workspace&) = delete;
    Workspace& operator=(const Workspace&) = delete;

    std::optional<std::vector<double>> solve(const std::vector<double>& start, int strategy) {
        std::copy(start.begin(), start.end(), N_VGetArrayPointer(x_));
        // How it ends does not matter: the residual decides, as the last digits of heights allow.
        KINSol(memory_, x_, strategy, unknown_scale_, equation_scale_);
        const double* x = N_VGetArrayPointer(x_);
        std::vector<double> solution(x, x + equations_.size()), left(equations_.size());
        equations_.residual(solution.data(), left.data());
        const std::vector<double> scale = equations_.equation_scale();
        for (std::size_t i = 0; i < left.size(); ++i) {
            if (!(std::abs(left[i]) <= accepted * scale[i])) return std::nullopt;
        }
        return solution;
    }

  private:
    static void set_inverse(N_Vector vector, const std::vector<double>& scale) {
        std::transform(scale.begin(), scale.end(), N_VGetArrayPointer(vector),
                       [](double s) { return 1 / s; });
    }
    static int residual(N_Vector x, N_Vector f, void* self) {
        static_cast<Workspace*>(self)->equations_.residual(N_VGetArrayPointer(x), N_VGetArrayPointer(f));
        return 0;
    }
    static int jacobian(N_Vector x, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector) {
        const Equations& equations = static_cast<Workspace*>(self)->equations_;
        const Columns& columns = equations.pattern();
        std::vector<double> values;
        equations.jacobian(N_VGetArrayPointer(x), values);
        std::copy(columns.start.begin(), columns.start.end(), SUNSparseMatrix_IndexPointers(matrix));
        std::copy(columns.row.begin(), columns.row.end(), SUNSparseMatrix_IndexValues(matrix));
        std::copy(values.begin(), values.end(), SUNSparseMatrix_Data(matrix));
        return 0;
    }

    const Equations& equations_;
    SUNContext context_ = nullptr;
    N_Vector x_, unknown_scale_, equation_scale_;
    SUNMatrix matrix_;
    SUNLinearSolver solver_;
    void* memory_;
};

}  // namespace

std::optional<std::vector<double>> solve_by_kinsol(const Equations& equations,
                                                   const std::vector<double>& start) {
    Workspace workspace(equations);
    if (auto found = workspace.solve(start, KIN_LINESEARCH)) return found;
    return workspace.solve(start, KIN_NONE);
}

}  // namespace evenhead::agreement
