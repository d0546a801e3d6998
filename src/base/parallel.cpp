#include "base/parallel.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace kerfwright {

int thread_count(int asked) {
    if (asked > 0) return asked;
    return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

void parallel_for(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
    std::atomic<std::size_t> next{0};
    std::mutex guard;
    std::size_t failed_at = count;
    std::exception_ptr failure;
    const auto run = [&] {
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                work(i);
            } catch (...) {
                const std::lock_guard lock(guard);
                if (i < failed_at) {
                    failed_at = i;
                    failure = std::current_exception();
                }
            }
        }
    };
    const std::size_t helpers = std::min<std::size_t>(count, static_cast<std::size_t>(thread_count(threads)));
    {
        std::vector<std::jthread> pool;
        for (std::size_t i = 1; i < helpers; ++i)
            pool.emplace_back(run);
        run();
    }
    if (failure) std::rethrow_exception(failure);
}

} // namespace kerfwright
