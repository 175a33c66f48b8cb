#include "tests/agreement/kinsol.hpp"

#include <algorithm>
#include <cmath>

#include "tests/agreement/kinsol_workspace.hpp"

namespace evenhead::agreement {
namespace {

constexpr double wanted = 1e-13, accepted = 1e-11;  // residual, of the scales of the equations
constexpr double least_step = 1e-15;                // of the scales of the unknowns
constexpr double longest_step = 1e6;                // likewise
constexpr long most_steps = 400;

class Solver {
  public:
    explicit Solver(const Equations& equations)
        : equations_(equations),
          workspace_(equations.size(), equations.pattern().row.size(), residual, jacobian, this,
                     {wanted, least_step, longest_step}) {
        set_inverse(workspace_.unknown_scale(), equations.unknown_scale());
        set_inverse(workspace_.equation_scale(), equations.equation_scale());
        check_kinsol(KINSetNumMaxIters(workspace_.memory(), most_steps), "iterations");
        check_kinsol(KINSetPrintLevel(workspace_.memory(), 0), "print level");
    }

    std::optional<std::vector<double>> solve(const std::vector<double>& start, int strategy) {
        std::copy(start.begin(), start.end(), workspace_.x());
        // How it ends does not matter: the residual decides, as the last digits of heights allow.
        workspace_.solve(strategy);
        const double* x = workspace_.x();
        std::vector<double> solution(x, x + equations_.size()), left(equations_.size());
        equations_.residual(solution.data(), left.data());
        const std::vector<double> scale = equations_.equation_scale();
        for (std::size_t i = 0; i < left.size(); ++i) {
            if (!(std::abs(left[i]) <= accepted * scale[i])) return std::nullopt;
        }
        return solution;
    }

  private:
    static void set_inverse(double* factors, const std::vector<double>& scale) {
        std::transform(scale.begin(), scale.end(), factors, [](double s) { return 1 / s; });
    }
    static int residual(N_Vector x, N_Vector f, void* self) {
        static_cast<Solver*>(self)->equations_.residual(N_VGetArrayPointer(x), N_VGetArrayPointer(f));
        return 0;
    }
    static int jacobian(N_Vector x, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector) {
        const Equations& equations = static_cast<Solver*>(self)->equations_;
        const Columns& columns = equations.pattern();
        std::vector<double> values;
        equations.jacobian(N_VGetArrayPointer(x), values);
        std::copy(columns.start.begin(), columns.start.end(), SUNSparseMatrix_IndexPointers(matrix));
        std::copy(columns.row.begin(), columns.row.end(), SUNSparseMatrix_IndexValues(matrix));
        std::copy(values.begin(), values.end(), SUNSparseMatrix_Data(matrix));
        return 0;
    }

    const Equations& equations_;
    KinsolWorkspace workspace_;
};

}  // namespace

std::optional<std::vector<double>> solve_by_kinsol(const Equations& equations,
                                                   const std::vector<double>& start) {
    Solver solver(equations);
    if (auto found = solver.solve(start, KIN_LINESEARCH)) return found;
    return solver.solve(start, KIN_NONE);
}

}  // namespace evenhead::agreement
