#include "page/connection.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

namespace kerfwright::page {
namespace {

using std::chrono::milliseconds;

constexpr milliseconds kIdle{2000};    ///< between two requests
constexpr milliseconds kHead{10'000};  ///< to send a request's head
constexpr milliseconds kBody{10'000};  ///< to send its body, and more by its length
constexpr milliseconds kReply{30'000}; ///< to take a reply
constexpr milliseconds kCrowded{1000}; ///< instead of these, when others wait for a thread
constexpr milliseconds kCrowdedReply{5000};
constexpr milliseconds kSlice{50};     ///< how often we look whether others wait
constexpr milliseconds kGoodbye{2000}; ///< for the client to read why we hang up on it
constexpr std::size_t kLargestHead = 64 << 10;
constexpr std::uint64_t kSlowest = 1000; ///< bytes a millisecond that a body is expected to come with

} // namespace

Connection::Connection(socket_t socket, const Crowd& crowd) : socket_(socket), crowd_(crowd), began_(Clock::now()) {}

Connection::~Connection() {
    // Closing with unread bytes would reset the connection and take our last reply with it: read them away first.
    ::shutdown(socket_, SHUT_WR);
    const auto begin = Clock::now();
    while (!crowd_.closing && Clock::now() - begin < kGoodbye && wait(POLLIN, begin, kGoodbye, kSlice)) {
        const ssize_t n = ::recv(socket_, buffer_, sizeof buffer_, MSG_DONTWAIT);
        if (n == 0 || (n < 0 && errno != EAGAIN && errno != EINTR)) break;
    }
    ::close(socket_);
}

bool Connection::wait(short event, Clock::time_point begin, milliseconds patience, milliseconds when_crowded) const {
    while (!crowd_.closing) {
        pollfd one{socket_, event, 0};
        const int n = ::poll(&one, 1, static_cast<int>(kSlice.count()));
        if (n < 0 && errno != EINTR) return false;
        const milliseconds granted = crowd_.waiting > 0 ? std::min(patience, when_crowded) : patience;
        const bool over = Clock::now() - begin >= granted;
        // A drip is there each time we look: the clock counts, not the bytes. Between requests anything is welcome.
        if (n > 0) return !over || patience == kIdle;
        if (over) return false;
    }
    return false;
}

bool Connection::wait_for_request() {
    in_body_ = replying_ = false;
    head_bytes_ = 0;
    began_ = Clock::now();
    if (from_ < to_) return true;
    const bool begins = wait(POLLIN, began_, kIdle, milliseconds(0));
    began_ = Clock::now();
    return begins && fill();
}

void Connection::begin_body(std::uint64_t length, bool chunked) {
    in_body_ = true;
    chunked_ = chunked;
    body_left_ = body_length_ = length;
    began_ = Clock::now();
}

bool Connection::clean() const {
    return in_body_ && !chunked_ && body_left_ == 0;
}

bool Connection::fill() {
    const milliseconds more(in_body_ ? static_cast<std::int64_t>(body_length_ / kSlowest) : 0);
    if (!wait(POLLIN, began_, in_body_ ? kBody + more : kHead, kCrowded + more)) return false;
    const ssize_t n = ::recv(socket_, buffer_, sizeof buffer_, MSG_DONTWAIT);
    if (n <= 0) return n < 0 && (errno == EAGAIN || errno == EINTR) && fill();
    from_ = 0;
    to_ = static_cast<std::size_t>(n);
    return true;
}

ssize_t Connection::read(char* to, std::size_t size) {
    if (!in_body_ && head_bytes_ >= kLargestHead) return -1;
    if (from_ == to_ && !fill()) return -1;
    const std::size_t n = std::min(size, to_ - from_);
    std::memcpy(to, buffer_ + from_, n);
    from_ += n;
    if (in_body_)
        body_left_ -= std::min<std::uint64_t>(body_left_, n);
    else
        head_bytes_ += n;
    return static_cast<ssize_t>(n);
}

ssize_t Connection::write(const char* from, std::size_t size) {
    if (!replying_) reply_began_ = Clock::now();
    replying_ = true;
    while (wait(POLLOUT, reply_began_, kReply, kCrowdedReply)) {
        const ssize_t n = ::send(socket_, from, size, MSG_NOSIGNAL | MSG_DONTWAIT);
        if (n >= 0 || (errno != EAGAIN && errno != EINTR)) return n;
    }
    return -1;
}

bool Connection::is_readable() const {
    return from_ < to_ || wait(POLLIN, Clock::now(), kHead, kCrowded);
}

bool Connection::is_writable() const {
    return wait(POLLOUT, Clock::now(), kReply, kCrowdedReply);
}

void Connection::get_remote_ip_and_port(std::string& ip, int& port) const {
    ip = "127.0.0.1"; // we listen nowhere else
    port = 0;
}

void Connection::get_local_ip_and_port(std::string& ip, int& port) const {
    get_remote_ip_and_port(ip, port);
}

} // namespace kerfwright::page
