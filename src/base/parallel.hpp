#pragma once
// Loops over independent items on a few threads. Every item writes only its own result, so the outcome is the same on
// any number of threads.

#include <cstddef>
#include <functional>

namespace kerfwright {

/// Number of threads to use: the asked-for one, or what the machine has when `asked` is 0.
[[nodiscard]] int thread_count(int asked);

/// Calls work(i) for i in [0, count), each exactly once, on up to `threads` threads; returns when all are done.
/// The first exception (by index) is thrown again here.
void parallel_for(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

} // namespace kerfwright
