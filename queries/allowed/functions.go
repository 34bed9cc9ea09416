package allowed

import (
	"slices"
	"strings"
)

// Functions lists the functions that a question may call, sorted: they work on their arguments alone. Those that tell of
// the session, its settings or its catalogue, run a text as a statement, or write anything are not among them.
func Functions() []string {
	var names []string
	for _, group := range functions {
		names = append(names, strings.Fields(group)...)
	}
	slices.Sort(names)
	return names
}

var callable = func() map[string]bool {
	set := map[string]bool{}
	for _, group := range append(functions[:], operators) {
		for _, name := range strings.Fields(group) {
			set[name] = true
		}
	}
	return set
}()

func known(function string) bool { return callable[function] }

// operators are functions that are written as signs.
const operators = `+ - * / // % ** ^ ^@ || & | ~ << >> ! @ @> <@ && <-> <=> <#> = <> ~~ !~~ ~~* !~~* ~~~ ->> ->
	like_escape ilike_escape not_like_escape not_ilike_escape`

var functions = [...]string{
	// numbers
	`abs acos acosh asin asinh atan atan2 atanh bit_count cbrt ceil ceiling cos cosh cot degrees divide even exp factorial
	floor fdiv fmod gamma gcd greatest_common_divisor isfinite isinf isnan lcm least_common_multiple lgamma ln log log10 log2
	mod multiply add subtract nextafter pi pow power radians round round_even sign signbit sin sinh sqrt tan tanh trunc xor
	greatest least`,
	// text
	`ascii bar chr concat concat_ws contains ends_with format hash instr lcase left len length levenshtein lower lpad ltrim
	md5 ord position prefix printf regexp_escape regexp_extract regexp_extract_all regexp_full_match regexp_matches
	regexp_replace regexp_split_to_array repeat replace reverse right rpad rtrim split split_part sha256 starts_with
	str_split str_split_regex string_split string_split_regex string_to_array strip_accents strlen strpos substr substring
	suffix translate trim ucase unicode upper char_length character_length array_to_string hex to_hex`,
	// times
	`age century date_add date_diff date_part date_sub date_trunc datediff datepart datesub datetrunc day dayname dayofmonth
	dayofweek dayofyear decade epoch epoch_ms epoch_ns epoch_us era hour isodow isoyear julian last_day local_time make_date
	make_time make_timestamp microsecond millennium millisecond minute month monthname quarter second strftime strptime
	try_strptime time_bucket timezone to_centuries to_days to_decades to_hours to_microseconds to_milliseconds to_minutes
	to_months to_quarters to_seconds to_timestamp to_weeks to_years week weekday weekofyear year yearweek minutes_between`,
	// sums over rows
	`any_value approx_count_distinct approx_quantile arbitrary arg_max arg_max_null arg_min arg_min_null argmax argmin
	array_agg avg bit_and bit_or bit_xor bool_and bool_or corr count count_if count_star countif covar_pop covar_samp entropy
	favg first fsum geomean geometric_mean group_concat histogram kahan_sum kurtosis kurtosis_pop last list listagg mad max
	max_by mean median min min_by mode product quantile quantile_cont quantile_disc regr_avgx regr_avgy regr_count
	regr_intercept regr_r2 regr_slope regr_sxx regr_sxy regr_syy sem skewness stddev stddev_pop stddev_samp string_agg sum
	sumkahan var_pop var_samp variance grouping grouping_id`,
	// rows beside rows
	`row_number rank dense_rank rank_dense percent_rank cume_dist ntile lag lead first_value last_value nth_value fill`,
	// lists, structures, maps
	`aggregate apply array_aggr array_append array_concat array_contains array_distinct array_filter array_has array_has_all
	array_has_any array_length array_position array_prepend array_slice array_sort array_transform array_extract cardinality
	element_at equi_width_bins filter flatten generate_series list_aggr list_aggregate list_any_value list_append list_apply
	list_avg list_cat list_concat list_contains list_count list_distinct list_element list_extract list_filter list_first
	list_has list_has_all list_has_any list_indexof list_intersect list_last list_max list_median list_min list_pack
	list_position list_prepend list_reduce list_reverse list_reverse_sort list_select list_slice list_sort list_stddev_samp
	list_sum list_transform list_unique list_value list_where list_zip map map_contains map_entries map_extract
	map_extract_value map_from_entries map_keys map_values range reduce row struct_extract struct_insert struct_pack unnest
	unpivot_list`,
	// cells of unknown or missing value
	`coalesce if ifnull nullif typeof`,
	// words of this program
	`support_class support_rank`,
}
