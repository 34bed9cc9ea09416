# Reads cases from the file named first ("id;kind;numbers;numbers;…") and
# prints "id number number …" as R sees them. Kinds not listed are passed over.
suppressPackageStartupMessages(library(survival))
wilson <- function(x, n) as.numeric(suppressWarnings(prop.test(x, n, correct = FALSE))$conf.int)
tight <- function(f, lo, hi) uniroot(f, c(lo, hi), tol = 1e-15, maxiter = 10000)$root

conditional <- function(x1, n1, x2, n2) {
  low <- max(0, x1 + x2 - n2); high <- min(n1, x1 + x2); support <- low:high
  base <- dhyper(support, n1, n2, x1 + x2, log = TRUE)
  prob <- function(u) { w <- base + u * support; w <- exp(w - max(w)); w / sum(w) }
  solve1 <- function(f) exp(tight(f, -60, 60))
  value <- if (x1 == low) 0 else if (x1 == high) Inf else solve1(function(u) sum(support * prob(u)) - x1)
  lower <- if (x1 == low) 0 else solve1(function(u) sum(prob(u)[support >= x1]) - 0.025)
  upper <- if (x1 == high) Inf else solve1(function(u) 0.025 - sum(prob(u)[support <= x1]))
  c(value, lower, upper)
}
fit <- function(family, y, x, offset) {
  m <- matrix(x, nrow = length(y), byrow = TRUE)
  once <- function(...) glm(y ~ m + offset(offset), family = family, control = glm.control(epsilon = 1e-14, maxit = 200), ...)
  g <- once(start = coef(once())) # again from its own answer: its errors lag one step behind
  s <- summary(g)$coefficients
  c(s[, 1], s[, 2], g$deviance)
}
kinds <- list(
  quantile = function(a) as.numeric(quantile(a[[1]], a[[2]], type = 7)),
  moments = function(a) c(mean(a[[1]]), sd(a[[1]])),
  wilson = function(a) wilson(a[[1]][1], a[[1]][2]),
  exact = function(a) as.numeric(binom.test(a[[1]][1], a[[1]][2])$conf.int),
  poisson = function(a) as.numeric(poisson.test(a[[1]][1], a[[1]][2])$conf.int),
  ranks = function(a) { n <- a[[1]]; k <- qbinom(0.025, n, 0.5); if (pbinom(k, n, 0.5) <= 0.025) k <- k + 1
    c(k, n + 1 - k, 1 - 2 * pbinom(k - 1, n, 0.5)) },
  logt = function(a) exp(as.numeric(t.test(log(a[[1]]))$conf.int)),
  logratio = function(a) exp(as.numeric(t.test(log(a[[1]]), log(a[[2]]))$conf.int)),
  tail = function(a) ppois(a[[1]][1] - 1, a[[1]][2], lower.tail = FALSE),
  ratio = function(a) { t <- poisson.test(a[[1]][c(1, 3)], a[[1]][c(2, 4)]); c(t$estimate, t$conf.int) },
  fisher = function(a) { v <- a[[1]]; fisher.test(matrix(c(v[1], v[3], v[2] - v[1], v[4] - v[3]), 2))$p.value },
  conditional = function(a) do.call(conditional, as.list(a[[1]])),
  chisq = function(a) { v <- a[[1]]; m <- matrix(c(v[1], v[3], v[2] - v[1], v[4] - v[3]), 2)
    r <- suppressWarnings(list(chisq.test(m, correct = FALSE), chisq.test(m)))
    c(r[[1]]$statistic, r[[1]]$p.value, r[[2]]$statistic, r[[2]]$p.value) },
  rankexact = function(a) { w <- wilcox.test(a[[1]], a[[2]], exact = TRUE, conf.int = TRUE)
    c(w$statistic, w$p.value, w$estimate, w$conf.int) },
  ranknormal = function(a) { w <- wilcox.test(a[[1]], a[[2]], exact = FALSE); c(w$statistic, w$p.value) },
  kruskal = function(a) { k <- kruskal.test(a); c(k$statistic, k$p.value) },
  line = function(a) { s <- summary(lm(a[[2]] ~ a[[1]]))$coefficients; c(s[, 1], s[, 2]) },
  survival = function(a) {
    f <- survfit(Surv(a[[1]], a[[2]]) ~ 1, conf.type = "log-log"); k <- f$n.event > 0 & f$surv > 0
    c(f$surv[k], (f$surv * f$std.err)[k], f$lower[k], f$upper[k]) },
  logrank = function(a) { d <- survdiff(Surv(a[[1]], a[[2]]) ~ a[[3]])
    c(d$chisq, pchisq(d$chisq, length(d$n) - 1, lower.tail = FALSE)) },
  poissonfit = function(a) fit(poisson(), a[[1]], a[[2]], a[[3]]),
  logisticfit = function(a) fit(binomial(), a[[1]], a[[2]], a[[3]]),
  katz = function(a) { v <- a[[1]]; x <- v[c(1, 3)]; n <- v[c(2, 4)]; y <- n - x; q <- qnorm(0.975)
    r <- log(x[1] / n[1] / (x[2] / n[2])); s <- sqrt(sum(1 / x - 1 / n))
    o <- log(x[1] * y[2] / (x[2] * y[1])); w <- sqrt(sum(1 / x, 1 / y))
    exp(c(r, r - q * s, r + q * s, o, o - q * w, o + q * w)) },
  balance = function(a) (mean(a[[1]]) - mean(a[[2]])) / sqrt((var(a[[1]]) + var(a[[2]])) / 2),
  levels = function(a) { p <- a[[1]] / sum(a[[1]]); q <- a[[2]] / sum(a[[2]]); k <- -1
    cov <- function(v) diag(v[k], length(v) - 1) - outer(v[k], v[k])
    sqrt(drop(t(p[k] - q[k]) %*% solve((cov(p) + cov(q)) / 2) %*% (p[k] - q[k]))) },
  erlang = function(a) { b <- dpois(a[[1]][2], a[[1]][1]) / ppois(a[[1]][2], a[[1]][1])
    rho <- a[[1]][1] / a[[1]][2]; c(b, b / (1 - rho * (1 - b))) },
  mtbf = function(a) { v <- a[[1]]; q <- (1 - v[3]) / 2
    2 * v[1] / c(qchisq(1 - q, 2 * v[2] + 2), qchisq(q, 2 * v[2]), qchisq(1 - q, 2 * v[2])) },
  fleet = function(a) pbinom(a[[1]][2] - 1, a[[1]][1], a[[1]][3], lower.tail = FALSE),
  binomialfunnel = function(a) qbinom(c(0.025, 0.975, 0.001, 0.999), a[[1]][1], a[[1]][2]) / a[[1]][1],
  poissonfunnel = function(a) qpois(c(0.025, 0.975, 0.001, 0.999), a[[1]][1] * a[[1]][2]) / a[[1]][1],
  gaps = function(a) qgeom(c(pnorm(-3), 0.5, pnorm(3)), 1 / (mean(a[[1]]) + 1)),
  runlimits = function(a) c(round(log2(a[[1]]) + 3), qbinom(0.05, a[[1]] - 1, 0.5))
)
for (line in readLines(commandArgs(TRUE)[1])) {
  part <- strsplit(line, ";", fixed = TRUE)[[1]]
  f <- kinds[[part[2]]]
  if (is.null(f)) next
  a <- lapply(part[-(1:2)], function(s) as.numeric(strsplit(s, " ", fixed = TRUE)[[1]]))
  cat(part[1], sprintf("%.17g", f(a)), "\n")
}
