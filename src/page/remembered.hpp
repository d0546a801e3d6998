#pragma once
// Values that are dear to make, kept as long as what they come from stays.

#include <map>
#include <memory>
#include <mutex>
#include <string>

namespace kerfwright::page {

template <class T>
class Remembered {
  public:
    /// The value under `key`, made when it is not there. All others are forgotten when `from` is not what it was last
    /// time. Who asks at the same time waits for the one that makes it.
    template <class Make>
    std::shared_ptr<const T> get(const std::string& from, const std::string& key, const Make& make) {
        const std::lock_guard lock(mutex_);
        if (from != from_) values_.clear();
        from_ = from;
        auto& value = values_[key];
        if (!value) value = std::make_shared<const T>(make());
        return value;
    }

  private:
    std::mutex mutex_;
    std::string from_;
    std::map<std::string, std::shared_ptr<const T>> values_;
};

} // namespace kerfwright::page
